package tables_test

import (
	"context"
	"fmt"
	"math/big"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pulsewright/lang"
)

// run runs a script in a folder and gives what it printed and what went wrong.
func run(t *testing.T, dir, script string) (string, error) {
	t.Helper()
	var out strings.Builder
	s, err := lang.New(lang.Config{Out: &out, Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.Exec(context.Background(), "test.star", script)
	return out.String(), err
}

// A table that is saved comes back as the same table, in every form, and differs in nothing.
func TestRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	words := []string{"", "quay", "7", "007", "-1", "1.5", "1e3", "True", "False", "None", "nan", "+inf", "=1+2", "'=1+2", "''@quay", "+x", "-y", "'tis", "a,b", "say \"quay\"", "two\nlines", "cr\rlf\r\n",
		" blank ", "\ttab", "höhe", "\x00", "\"", "\ufeffmark", "#"}
	value := func() string {
		switch rnd.Intn(7) {
		case 0:
			return "None"
		case 1:
			return []string{"True", "False"}[rnd.Intn(2)]
		case 2:
			return fmt.Sprint(rnd.Intn(2000) - 1000)
		case 3:
			return new(big.Int).Lsh(big.NewInt(rnd.Int63()-1<<62), uint(rnd.Intn(200))).String()
		case 4:
			return fmt.Sprintf("float(\"%g\")", rnd.NormFloat64()*float64(rnd.Intn(1000)))
		case 5:
			return fmt.Sprintf("%d.0", rnd.Intn(100))
		}
		return quoted(words[rnd.Intn(len(words))])
	}
	for range 150 {
		width := 1 + rnd.Intn(4)
		var head, rows []string
		for i := range width {
			head = append(head, quoted(words[rnd.Intn(len(words))]+fmt.Sprint(i)))
		}
		for range 1 + rnd.Intn(4) {
			var row []string
			for range width {
				row = append(row, value())
			}
			rows = append(rows, "["+strings.Join(row, ", ")+"]")
		}
		script := fmt.Sprintf("t = table([%s], head=[%s])\n", strings.Join(rows, ", "), strings.Join(head, ", ")) + `
def types(t):
    return [[type(v) for v in r] for r in t.rows]
for path in ["t.csv", "t.json", "t.jsonl"]:
    t.save(path, over=True)
    u = read_table(path)
    expect_equal(u.head, t.head)
    expect_equal(repr(u.rows), repr(t.rows), path)
    expect_equal(types(u), types(t), path)
    ids = lambda t: table([[i] + list(r) for i, r in enumerate(t.rows)], head=["row"] + list(t.head))
    expect_equal(len(ids(u).against(ids(t))), 0, path)
`
		if _, err := run(t, t.TempDir(), script); err != nil {
			t.Fatalf("%v\n%s", err, script)
		}
	}
}

// What no form holds comes back as the help of read_table says.
func TestNotHeld(t *testing.T) {
	_, err := run(t, t.TempDir(), `
t = table([[float("nan"), float("+inf"), float("-inf"), [1, None], len]], head=["a", "b", "c", "d", "e"])
want = {
    "t.csv": '(nan, +inf, -inf, "[1, None]", %r)' % str(len),
    "t.json": '(None, None, None, [1, None], %r)' % str(len),
    "t.jsonl": '(None, None, None, [1, None], %r)' % str(len),
}
for path in want:
    t.save(path)
    expect_equal(repr(read_table(path).rows[0]), want[path], path)
`)
	if err != nil {
		t.Error(err)
	}
}

// quoted is a text as a script writes it.
func quoted(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r < ' ' || r == '"' || r == '\\' {
			fmt.Fprintf(&b, "\\x%02x", r)
		} else {
			b.WriteRune(r)
		}
	}
	return `"` + b.String() + `"`
}

// What cannot be read is told with its place.
func TestWrongFiles(t *testing.T) {
	for _, test := range []struct{ name, text, want string }{
		{"a.csv", "", "a.csv:1:1: an empty file"},
		{"a.csv", "berth,steps\r\n1\r\n", "a.csv:2:1: a row of 1 field, want 2"},
		{"a.csv", "berth\n\"1\n", "a.csv:2:1: a quote that is not closed"},
		{"a.csv", "berth\nä\"1\n", "a.csv:2:2: a quote inside a field"},
		{"a.csv", "berth\n\"1\"2\n", "a.csv:2:4: text behind a closing quote"},
		{"a.csv", "berth\n\x00\n", "a.csv:2:1: the control character U+0000"},
		{"a.csv", "berth\nä\xff\n", "a.csv:2:2: a byte that is no UTF-8"},
		{"a.json", "{}", "a.json:1:1: want a list of objects"},
		{"a.json", "[1]", "a.json:1:2: want an object"},
		{"a.json", "[{\"a\": 1},\n{\"a\": 2, \"a\": 3}]", "the head \"a\" twice in a row"},
		{"a.json", "[{\"a\": {}}]", "want a number, a text"},
		{"a.json", "[{\"a\": 1}", "the file ends too early"},
		{"a.json", "[{\"a\": 1}] 2", "want nothing behind the list"},
		{"a.json", "[{\"a\":\n x}]", "a.json:2:2: this is no JSON"},
		{"a.json", "[{\"a\": 1e999}]", "a number that is too large"},
		{"a.json", "[{\"a\": " + strings.Repeat("[", 1_000_000), "lists at most"},
		{"a.jsonl", "{\"a\": 1}\n[2]\n", "a.jsonl:2:1: want an object"},
		{"a.txt", "", "want a path that ends in .csv, .json or .jsonl"},
	} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, test.name), []byte(test.text), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := run(t, dir, fmt.Sprintf("read_table(%q)", test.name))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%.60q: %v\nwant %s", test.text, err, test.want)
		}
	}
}

// Nothing outside the folders is read.
func TestReadWhere(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "work")
	os.Mkdir(dir, 0o755)
	os.WriteFile(filepath.Join(top, "out.csv"), []byte("a\n1\n"), 0o644)
	os.Symlink("../out.csv", filepath.Join(dir, "link.csv"))
	if f, err := os.Create(filepath.Join(dir, "huge.csv")); err != nil || f.Truncate(100<<20) != nil || f.Close() != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		"../out.csv": "leads out of the folder", filepath.Join(top, "out.csv"): "leads out of the folder", "link.csv": "leads out of the folder", "./link.csv": "leads out of the folder",
		"own/a.csv": "no folder of your own", "lib/a.csv": "the library holds scripts only", "none.csv": "no such file", "huge.csv": "100 MiB are too much", "./../out.csv": "leads out of",
	} {
		if _, err := run(t, dir, fmt.Sprintf("read_table(%q)", path)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v\nwant %s", path, err, want)
		}
	}
}

// What is another value, a row or a column of one table alone is told, and nothing else.
func TestAgainst(t *testing.T) {
	got, err := run(t, t.TempDir(), `
old = table([[1, "+x", 30, "a"], [1, "-x", 31, "b"], [2, "+x", 32, "c"]], head=["berth", "way", "steps", "note"])
new = table([[2, "+x", 32.0, True], [1, "-x", 29, True], [3, "+x", 1, True]], head=["berth", "way", "steps", "rests"])
print(new.against(old, on=["berth", "way"]))
`)
	want := `berth  way  column           was  is
-----  ---  ---------------  ---  --
            rests only now
            note only then
    1  -x   steps             31  29
    3  +x   (row) only now
    1  +x   (row) only then
`
	if err != nil || got != want {
		t.Errorf("%v\n%s\nwant\n%s", err, got, want)
	}
	_, err = run(t, t.TempDir(), `t = table([[1, 2], [1, 3]], head=["berth", "steps"])
t.against(t)`)
	if err == nil || !strings.Contains(err.Error(), "two rows with berth 1, want columns in on that tell the rows apart") {
		t.Error(err)
	}
}

// TestFormulas: nothing that a spreadsheet would compute stands in a file as it would compute it.
func TestFormulas(t *testing.T) {
	dir := t.TempDir()
	if _, err := run(t, dir, `t = table([["=1+2", "+x", -3, "'=x", "quay"]], head=["@a", "b", "c", "d", "e"])
t.save("t.csv")
expect_equal(read_table("t.csv").rows, t.rows)
expect_equal(read_table("t.csv").head, t.head)`); err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(dir, "t.csv"))
	if err != nil {
		t.Fatal(err)
	}
	want := "\"'@a\",b,c,d,e\r\n\"'=1+2\",\"'+x\",-3,\"''=x\",quay\r\n"
	if string(got) != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

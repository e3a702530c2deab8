package wave

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pulsewright/builtins"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// FuzzExport writes down the events of any bench, with one name of any text, in every form there is: each can be read back, says of every event what the log
// says, and holds nothing that a terminal would obey or a spreadsheet compute.
func FuzzExport(f *testing.F) {
	addBenches(f)
	f.Fuzz(func(t *testing.T, data []byte, name string, form byte) {
		if len(data) > 3000 || len(name) > 300 {
			t.Skip()
		}
		b := namedBench(data, name)
		e := &builtins.Env{Bench: b, Seed: 7}
		var out strings.Builder
		switch last := engine.EventID(b.EventCount()); form % 3 {
		case 0:
			dump(t, b) // read by a strict reader
		case 1:
			if err := writeJSON(&out, e, nil, 1, last); err != nil {
				t.Fatal(err)
			}
			lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
			harmless(t, out.String())
			for id, line := range lines[1:] {
				checkLine(t, b, engine.EventID(id+1), line)
			}
			if len(lines) != 1+b.EventCount() {
				t.Errorf("%d lines of %d events", len(lines), b.EventCount())
			}
		case 2:
			if err := writeCSV(&out, e, nil, 1, last); err != nil {
				t.Fatal(err)
			}
			rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
			if err != nil || len(rows) != 1+b.EventCount() {
				t.Fatalf("%v, %d rows of %d events", err, len(rows), b.EventCount())
			}
			for _, row := range rows {
				if strings.ContainsAny(row[7][:min(1, len(row[7]))], "=+-@\t\r") {
					t.Errorf("a spreadsheet would compute %q", row[7])
				}
			}
		}
	})
}

// addBenches adds benches by lot, with names that somebody may want to smuggle.
func addBenches(f *testing.F) {
	for i, name := range []string{"quay", "", "=1+2", "a,\"b\"\r\n", "\x1b[2J\u202e\x9b]]>", "</script><img src=x>.\n</svg>", "quay.r1.\u00e4", "$end", "#7", "-", "@SUM(A1)", "&amp;<!--", "\xff\xfe", "\u2028", "\ufffe"} {
		dice := rand.New(rand.NewPCG(uint64(i), 5))
		data := make([]byte, 200+dice.IntN(300))
		for k := range data {
			data[k] = byte(dice.IntN(256))
		}
		f.Add(data, name, byte(i))
	}
}

// FuzzPictures draws what happened on any bench, with one name of any text: each picture and each page is well formed, loads nothing and holds nothing
// that a terminal or a browser would obey.
func FuzzPictures(f *testing.F) {
	addBenches(f)
	dir, word := f.TempDir(), builtins.Predeclared()["export"]
	f.Fuzz(func(t *testing.T, data []byte, name string, form byte) {
		if len(data) > 1000 || len(name) > 300 {
			t.Skip()
		}
		e := &builtins.Env{Bench: namedBench(data, name), History: true}
		switch form % 3 {
		case 0:
			checkDrawing(t, exported(t, e, word, dir, "x.svg", "scope"))
		case 1:
			checkDrawing(t, exported(t, e, word, dir, "x.svg", "map"))
		case 2:
			checkFilm(t, exported(t, e, word, dir, "x.html", "play"))
		}
	})
}

// namedBench is the bench that bytes choose, after all that was done to it; one part has a name.
func namedBench(data []byte, name string) *engine.Bench {
	r := stage.Choices(data)
	plan := stage.RandomPlan(r).Calm()
	plan.Parts[r.IntN(len(plan.Parts))].Name = name
	b := engine.New(engine.DefaultRules())
	b.KeepHistory(true)
	plan.Play(b)
	return b
}

// exported is what export writes; "" if there is nothing to show, which it says.
func exported(t *testing.T, e *builtins.Env, word starlark.Value, dir, name, what string) string {
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	e.Dir, e.Out = root, io.Discard
	thread := &starlark.Thread{Name: "export"}
	e.Attach(thread)
	kwargs := []starlark.Tuple{{starlark.String("over"), starlark.True}, {starlark.String("what"), starlark.String(what)}}
	if _, err := starlark.Call(thread, word, starlark.Tuple{starlark.String(name)}, kwargs); err != nil {
		if msg := builtins.Message(err); !strings.HasPrefix(msg, "export: nothing has happened") && !strings.HasPrefix(msg, "export: something happens in") {
			t.Fatalf("%s", msg)
		}
		return ""
	}
	text, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	harmless(t, string(text))
	return string(text)
}

// harmless fails if a text holds what a terminal or a browser would obey, or is no text.
func harmless(t *testing.T, text string) {
	t.Helper()
	if !utf8.ValidString(text) {
		t.Errorf("no UTF-8: %q", text)
	}
	if i := strings.IndexFunc(text, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' || r >= 0x7f && r < 0xa0 }); i >= 0 {
		t.Errorf("a control character: %q", text[max(0, i-40):min(len(text), i+40)])
	}
}

// checkLine holds a line of the JSON Lines to its event.
func checkLine(t *testing.T, b *engine.Bench, id engine.EventID, line string) {
	d := json.NewDecoder(strings.NewReader(line))
	d.DisallowUnknownFields()
	var got eventLine
	if err := d.Decode(&got); err != nil {
		t.Fatalf("%v\n%s", err, line)
	}
	e := b.Event(id)
	if got.Event != int64(id) || got.Cause != int64(e.Cause) || got.Tick != e.Tick || got.Step != int64(e.Step) || got.Turn != int64(e.Turn) || got.Part != int64(e.ID) ||
		got.What != e.What.String() || got.Name != string([]rune(b.Name(e.ID))) {
		t.Errorf("event %d, %+v, is written as %s", id, e, line)
	}
}

// checkDrawing reads a drawing as XML.
func checkDrawing(t *testing.T, text string) {
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if e, ok := token.(xml.StartElement); ok && !strings.Contains(" svg title desc style g rect line circle path text ", " "+e.Name.Local+" ") {
			t.Errorf("an element %s", e.Name.Local)
		}
	}
}

// checkFilm reads the film of a page, and looks that no name is taken for markup.
func checkFilm(t *testing.T, page string) {
	if page == "" {
		return
	}
	if n := strings.Count(page, "<script"); n != 2 || strings.Count(page, "</script") != 2 || strings.Contains(page, "<img") || strings.Count(page, "<!--") > 0 {
		t.Errorf("%d scripts, or what is in a name is taken for markup", n)
	}
	_, film, _ := strings.Cut(page, `id="film">`)
	film, _, _ = strings.Cut(film, "</script>")
	if !json.Valid([]byte(film)) {
		t.Errorf("no film: %s", film)
	}
}

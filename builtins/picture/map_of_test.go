package picture_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins/stage"
)

// TestMapOfAPart: the signs stand where the pads and the readers are, also in ASCII and as SVG; a far pad on the wrong side is seen.
func TestMapOfAPart(t *testing.T) {
	const bank = `
for i in range(3):
    link((i, 0), "+y", far="-x" if i == 1 else "-y", name="E%d" % i)
wire((0, -2), (2, -2))
battery((3, -2))
`
	for of, want := range map[string]string{
		`"E2"`: "   0\n 0 n^!  n^ ? n^!%  . ?\n-1  .    .    . ?  .\n-2  #====#====# $ B\n",
		`"E1"`: "   -1   0\n 0  . ? n^!? n^ % n^!?  .\n-1  .    .    . ?  .    .\n", // its far pad lies beside the bank, not on the wire
	} {
		s := stage.New()
		s.ASCII = true
		if msg := s.Do(bank + "print(map(of=" + of + ", z=0))"); msg != "" {
			t.Fatal(msg)
		}
		if !strings.Contains(s.Printed.String(), want) {
			t.Errorf("of %s: want %s in\n%s", of, want, s.Printed)
		}
	}

	s := stage.New()
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer dir.Close()
	s.Dir = dir
	if msg := s.Do(bank + `export("bank.svg", what="map", of="E2")` + "\n" + `export("plain.svg", what="map")`); msg != "" {
		t.Fatal(msg)
	}
	read := func(name string) string {
		text, err := dir.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	for want, n := range map[string]int{">⊡</text>": 1, ">⬥</text>": 1, ">⬦</text>": 5, "of link E2 at (2, 0): ⊡ is it; ⬦ it reads, dead; ⬥ it reads, live": 1} {
		if got := strings.Count(read("bank.svg"), want); got != n {
			t.Errorf("%q stands in the picture %d times, want %d\n%s", want, got, n, read("bank.svg"))
		}
	}
	if plain := read("plain.svg"); strings.ContainsAny(plain, "⊡⬥⬦") {
		t.Error("a plain map has marks")
	}
	if msg := s.Do("m = map(of=\"E1\")\nfresh()\nsketch(m)"); !strings.HasPrefix(msg, "sketch: ") {
		t.Errorf("sketch takes a map with marks for one without: %q", msg)
	}
	if msg := s.Do(`map(of="E9")`); !strings.Contains(msg, `map: for parameter of: no part named "E9"`) {
		t.Error(msg)
	}
}

// TestLayersAlone: a layer by itself has the columns and rows of all, so that what lies above something stands above it also from picture to
// picture; what a fold stands for is said with a number that stands in the picture.
func TestLayersAlone(t *testing.T) {
	s := stage.MustDo(t, `wire((0, 0), (2, 0))
lamp((14, 3))
shuttle((4, 1, 1), "+x", slug="plug")
link((2, -1, 2), "+y")
one, two, box = map(z=1), map(z=2), map(z=2, box=((0, 0, 0), (3, 2, 2)))
side = map(z=1, side=True)
sketch(two.text, at=(0, 0, 9))
again = map(z=11)
`)
	axis := func(name string) (xs string, ys []string) {
		lines := strings.Split(s.Names[name].String(), "\n")
		for _, l := range lines[2:] {
			if l == "" {
				break
			}
			ys = append(ys, strings.Fields(l)[0])
		}
		return lines[1], ys
	}
	xs, ys := axis("one")
	if also, rows := axis("two"); also != xs || !slices.Equal(rows, ys) {
		t.Errorf("the layers have columns %q and %q, rows %q and %q", xs, also, ys, rows)
	}
	if also, rows := axis("again"); also != xs || !slices.Equal(rows, ys) {
		t.Errorf("placed again it has columns %q and rows %q", also, rows)
	}
	if want := []string{"3", "2", "1", "0", "-1"}; !slices.Equal(ys, want) {
		t.Errorf("rows %q, want %q", ys, want)
	}
	if fold := regexp.MustCompile(`~\d+~`).FindString(xs); fold == "" || !strings.Contains(s.Names["one"].String(), fold+" "+strings.Trim(fold, "~")+" columns without parts") {
		t.Errorf("the fold %q of %q is not explained in\n%v", fold, xs, s.Names["one"])
	}
	if got := s.Names["box"].String(); got != "nothing lies there" {
		t.Errorf("in the box:\n%s", got)
	}
	if _, ys := axis("side"); !slices.Equal(ys, []string{"1"}) {
		t.Errorf("from the side, of one layer: rows %q", ys)
	}
}

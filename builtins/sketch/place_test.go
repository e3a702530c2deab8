package sketch_test

import (
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/sketch"
	"pulsewright/builtins/stage"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestSketchKeys: a legend knows the parameters of the words that place parts, but for those that a drawing shows.
func TestSketchKeys(t *testing.T) {
	for _, k := range engine.Kinds() {
		e, _ := builtins.Lookup(k.String())
		var want []string
		for _, p := range e.Params {
			if !slices.Contains([]string{"at", "to", "path", "facing", "on", "out"}, p.Name) {
				want = append(want, p.Name)
			}
		}
		got := sketch.Keys(k)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%v: %v, want %v", k, got, want)
		}
	}
}

// BenchmarkSketch places a panel of links, wires and gates by words and by sketches: a sketch is no slower.
func BenchmarkSketch(b *testing.B) {
	const n = 100
	row := strings.Repeat("n>  + g^ ", n)
	for _, c := range []struct{ name, script string }{
		{"words", "def place(n):\n    fresh()\n    for y in range(n):\n        for x in range(100):\n            link((3 * x, y), \"+x\")\n            wire((3 * x + 1, y))\n            gate((3 * x + 2, y), \"+y\", \"xor\")"},
		{"sketch", "text = \"\\n\".join([\"" + row + "\"] * 100) + \"\\nlegend\\ng: op=\\\"xor\\\"\"\ndef place(n):\n    fresh()\n    sketch(text)"},
		{"small sketches", "text = \"n>  + g^\\nlegend\\ng: op=\\\"xor\\\"\"\ndef place(n):\n    fresh()\n    for y in range(n):\n        sketch(text, at=(0, y), times=100, pitch=(3, 0))"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			s := stage.New()
			if msg := s.Do(c.script); msg != "" {
				b.Fatal(msg)
			}
			for b.Loop() {
				if _, err := starlark.Call(s.Thread, s.Names["place"], starlark.Tuple{starlark.MakeInt(n)}, nil); err != nil {
					b.Fatal(err)
				}
			}
			if s.Bench.Len() != 3*n*n {
				b.Fatal(s.Bench.Len())
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(3*n*n), "ns/part")
		})
	}
}

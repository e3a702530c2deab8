package builtins_test

import (
	"pulsewright/builtins/stage"

	"testing"

	"go.starlark.net/starlark"
)

func BenchmarkPlace(b *testing.B) {
	for _, c := range []struct{ name, call string }{
		{"wire", "wire((x, y))"}, {"link", "link((x, y), \"+z\")"}, {"delay", "delay((x, y), \"+z\", ticks=3)"}, {"frame", "f.link((x, y), \"+z\")"}, {"row", "row(y)"}, {"none", "none((x, y))"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			s := stage.New()
			s.Names["none"] = starlark.NewBuiltin("none", func(*starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error) {
				return starlark.None, nil
			})
			inner := "for x in range(100):\n            " + c.call
			if c.name == "row" {
				inner = "wire((0, y), (99, y))"
			}
			if msg := s.Do("f = frame(at=(5, 5), x=\"+y\")\ndef place(n):\n    fresh()\n    for y in range(n):\n        " + inner); msg != "" {
				b.Fatal(msg)
			}
			const rows = 100
			for b.Loop() {
				if _, err := starlark.Call(s.Thread, s.Names["place"], starlark.Tuple{starlark.MakeInt(rows)}, nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(rows*100), "ns/part")
		})
	}
}

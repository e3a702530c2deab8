package engine_test

import (
	"testing"

	"pulsewright/engine"
)

// linkTwin is a link told as a kind of one's own.
func linkTwin() *engine.Spec {
	for _, tw := range plainTwins() {
		if tw.kind == engine.Link {
			return tw.spec
		}
	}
	panic("no link")
}

// BenchmarkToldChain runs a chain of links that a wire beside it feeds, out and home again, built in and told.
func BenchmarkToldChain(b *testing.B) {
	const n = 10_000
	twin := linkTwin()
	other := twoStates("link", says("home", "out"))
	other.Pads |= engine.FarBackCell
	other.Active = []bool{true, false} // nothing here reads it, but the short way of links is not taken
	slow := tell(other, func(l engine.Look) int { return when(anyLive(l)) })
	for _, c := range []struct {
		name string
		part engine.Part
	}{{"built-in", engine.Part{Kind: engine.Link, Facing: engine.PosX}}, {"told", engine.Part{Kind: engine.Told, Facing: engine.PosX, Spec: twin}},
		{"told, by its table", engine.Part{Kind: engine.Told, Facing: engine.PosX, Spec: slow}}} {
		b.Run(c.name, func(b *testing.B) {
			r := engine.DefaultRules()
			r.Reach = 2 * n
			w := engine.New(r)
			key := must(w.Place(engine.Cell{X: -1, Y: -2}, engine.Part{Kind: engine.Key}))
			side := c.part
			side.Facing = engine.PosY
			for i := range int32(n) {
				must(w.Place(engine.Cell{X: i, Y: -2}, engine.Part{Kind: engine.Wire}))
				must(w.Place(engine.Cell{X: i}, side))
			}
			first, _ := w.PartAt(engine.Cell{})
			check(w.Patch(key, first, engine.Cord{News: true}))
			w.Record(engine.RecordNone)
			toggle(b, w, key)
		})
	}
}

// BenchmarkPlaceTold places as many links, built in and told.
func BenchmarkPlaceTold(b *testing.B) {
	for _, p := range []engine.Part{{Kind: engine.Link}, {Kind: engine.Told, Spec: linkTwin()}} {
		b.Run(p.Kind.String(), func(b *testing.B) {
			for b.Loop() {
				w := engine.New(engine.DefaultRules())
				for i := range int32(10_000) {
					must(w.Place(engine.Cell{X: i % 100, Y: i / 100}, p))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/10_000, "ns/part")
		})
	}
}

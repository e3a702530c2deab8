package builtins

import (
	"testing"
)

func TestTmp(t *testing.T) {
	s := newScene()
	msg := s.do(`
w = wire((0, 0), (5, 0))
l = link((6, 0), "+y", name="far")
p = probe(w.last, name="line")
gs = [gate(op="buf", name="r1.g%d" % i) for i in range(6)]
k = key((0,9), name="k")
for i in range(6):
    patch(k if i == 0 else gs[i-1], gs[i])
t = shuttle((20, 0), "+x", slug="plug", name="pull")
patch(k, t)
fire(w.first, 4)
run()
press(k)
run(ticks=9)
release(k)
fire((40, 0), 0)
fire(w.first, steps=12, ticks=0, at=14)
run()
sh = [p, gs, k, t, (40, 0)]
scope(*sh)
scope(between=(p.pulses[0].rise, p.pulses[1].fall), at=(14, 3), width=50, *sh)
scope()
`)
	t.Log(msg)
	t.Log("\n" + s.out.String())
	s.ASCII = true
	s.out.Reset()
	t.Log(s.do("scope(*sh)"))
	t.Log("\n" + s.out.String())
}

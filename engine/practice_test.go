package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"pulsewright/engine"
)

// The facts in this file are known to those who build such machines: common practice, no published
// source. Each test says so again.

// pulseAt returns the only pulse of a part: the steps at which it went live, on or out and back, in one
// tick.
func pulseAt(t testing.TB, b *engine.Bench, name string, from engine.EventID) (rise, fall engine.Instant) {
	t.Helper()
	id := part(t, b, name)
	rises := 0
	for _, e := range b.Events(from) {
		if e.ID != id {
			continue
		}
		switch e.What {
		case engine.Live, engine.On, engine.Out, engine.Lit:
			rises, rise = rises+1, e.At()
		case engine.Dead, engine.Off, engine.Home, engine.Dark:
			fall = e.At()
		}
	}
	if rises != 1 || rise.Tick != fall.Tick {
		t.Errorf("%s rises %d times, last at %v, and falls last at %v, want one pulse in one tick", name, rises, rise, fall)
	}
	return rise, fall
}

// moved counts the links of a bank that went out.
func moved(b *engine.Bench) (n int) {
	for _, e := range b.Events(1) {
		if e.What == engine.Out && b.Thing(e.ID).Kind == engine.Link {
			n++
		}
	}
	return n
}

// bank is thirteen links over a bus that feeds their far pads. Only the first is told by the bus.
const bank = `
	    wire (0,-2)..(12,-2)
	    wire (0,-1)
	    link (0,0)..(12,0) +y`

// TestBankOfArmedLinks: of a bank of armed links, the first told by the rising edge, all fed by
// the pulse at their far pads, a pulse of 2 steps moves 1 and a pulse of 1 step none, as the fall
// comes first in its step; with a late fall a pulse of 4 moves 4. Afterwards all come home by
// themselves, for each is told by the one before it.
//
// Common practice, no published source.
func TestBankOfArmedLinks(t *testing.T) {
	for steps := range 12 {
		for _, late := range []bool{false, true} {
			b := sketch(t, bank)
			if err := b.Fire(engine.Target{Cell: engine.Cell{X: -1, Y: -2}}, engine.Firing{Steps: steps, Late: late}); err != nil {
				t.Fatal(err)
			}
			if err := b.Run(t.Context(), engine.Budget{}); err != nil {
				t.Fatal(err)
			}
			want := max(steps-1, 0)
			if late {
				want = steps
			}
			if got := moved(b); got != want {
				t.Errorf("a pulse of %d steps, late fall %v: %d links move, want %d", steps, late, got, want)
			}
			for id := range b.Parts() {
				if s := b.State(id); b.Thing(id).Kind == engine.Link && (s.On || s.Armed) {
					t.Errorf("a pulse of %d steps, late fall %v: %s stays out or armed", steps, late, who(b, id))
				}
			}
		}
	}
}

// station is a repeater that pulls a plug on the rising edge and a feed on the falling one. Its
// output ends beside the input of a station seven cells on.
//
// Rest: the plug keeps the jack open; cut's feed stands beside the jack, held there by lend's
// feed. Rise: the plug leaves, so that the jack and the output go live; lend's feed leaves too,
// and cut is held out by the input alone. Fall: cut takes its feed away. The way back is made of
// landings, some ticks later.
const station = `
	in:   wire (0,0)
	      wire (0,1)..(0,4)
	      wire (1,4)..(2,4)
	      jack (2,0)
	pull: shuttle (1,0) +x plug
	cut:  shuttle (2,3) -y feed out
	lend: shuttle (3,4) -y feed
	out:  wire (2,-1)
	      wire (3,-1)..(7,-1)`

// TestRepeaterByPulling: a repeater that pulls a plug on the rising edge and a feed on the falling
// edge gives out as many steps as came in: 10 in, 10 out, at every station of a line. About seven
// ticks later all is back, and the next pulse may come.
//
// Common practice, no published source.
func TestRepeaterByPulling(t *testing.T) {
	const stations = 8
	b := engine.New(engine.DefaultRules())
	for k := range int32(stations) {
		frame{b, engine.Cell{X: 7 * k}, fmt.Sprintf("s%d.", k+1)}.lay(t, station)
	}
	rest := b.Fingerprint()
	fire := func(width int, late bool) {
		t.Helper()
		from := engine.EventID(b.EventCount() + 1)
		start := b.Now().Tick + 1
		if err := b.Fire(engine.Target{ID: part(t, b, "s1.in")}, engine.Firing{Steps: width, Late: late}); err != nil {
			t.Fatal(err)
		}
		if err := b.Run(t.Context(), engine.Budget{}); err != nil {
			t.Fatal(err)
		}
		for k := 1; k <= stations; k++ {
			rise, fall := pulseAt(t, b, fmt.Sprintf("s%d.out", k), from)
			if rise.Tick != start || rise.Step != k || fall.Step != k+width {
				t.Errorf("%d in: station %d gives out %v to %v, want steps %d to %d of tick %d",
					width, k, rise, fall, k, k+width, start)
			}
		}
		if back := b.Now().Tick - start; back > 8 {
			t.Errorf("%d in: %d ticks until all is back", width, back)
		}
		if b.Fingerprint() != rest {
			t.Errorf("%d in: the line is not back at rest", width)
		}
	}
	fire(10, false)
	for width := 2; width <= 40; width++ {
		fire(width, false)
	}
	for width := 1; width <= 12; width++ {
		fire(width, true)
	}
}

// TestReedLineAndLinkChain: a reed line passes its news to its end in zero steps, however long,
// while a chain of links beside it takes one step for each link.
//
// Common practice, no published source.
func TestReedLineAndLinkChain(t *testing.T) {
	for _, length := range []int{1, 7, 8, 50, 400} {
		var text strings.Builder
		for i := range length {
			fmt.Fprintf(&text, "r%d: reed (%d,0) +y\n", i, i)
			fmt.Fprintf(&text, "l%d: link (%d,10) +y\nbattery (%d,8)\n", i, i, i)
			if i%7 == 0 { // run is 6: each seventh reed has a feed at its far pad
				fmt.Fprintf(&text, "battery (%d,-2)\n", i)
			}
		}
		b := sketch(t, text.String())
		do(t, b, `
			nudge r0
			nudge l0`)
		id := part(t, b, fmt.Sprint("r", length-1))
		for _, e := range b.Events(1) {
			switch name := b.Thing(e.ID).Name; {
			case e.ID == id && e.At() != engine.Instant{Tick: 1}:
				t.Errorf("%d reeds: the last flips at %v, want in turn 1.0.0", length, e.At())
			case e.What == engine.Out:
				if want := fmt.Sprint("l", e.Step-1); name != want {
					t.Errorf("%d links: %s moves at step %d, want %s", length, name, e.Step, want)
				}
			}
		}
		if got := b.Now().Step; got != length {
			t.Errorf("%d links take %d steps", length, got)
		}
		if c := b.Counters(); c.Reeds != int64(length) || c.Acts != int64(length) {
			t.Errorf("%d reeds and links: %d flips, %d acts", length, c.Reeds, c.Acts)
		}
	}
}

// panelAndReceiver lays a panel of n keys and, 20 cells on, a receiver with n lamps, between them
// one conductor. Keys and lamps are numbered from the end of their row: key j stands under the
// j-th link from the end.
//
// Panel: pressing a key makes the bus live, which arms all links, and at the same instant tells
// its own link and its own reed. The reed line reaches its end in the same turn, and a shuttle
// there pulls the plug between a feed and the line: rise at step 1. The cascade of links arrives j
// steps after the press, and a second shuttle takes the feed away: fall at step j+1.
//
// Receiver: links over a bus of the line, the first one told by it; each tells a bucket, which
// passes its token on while the line is live. A tick after the pulse a second reed line tells all
// buckets; the one that holds the token drops it into a tray, under which a lamp is lit.
func panelAndReceiver(t testing.TB, n int) *engine.Bench {
	var s strings.Builder
	add := func(format string, args ...any) { fmt.Fprintf(&s, format+"\n", args...) }
	add("rules reach=%d run=%d", 8*n, n)

	add("wire (1,-2)..(%d,-2)", n+1)
	for j := 1; j <= n; j++ {
		add("key%d: key (%d,-1)", j, n+1-j)
	}
	add("link (1,0)..(%d,0) +y", n)
	add("reed (1,-1,1)..(%d,-1,1) +y", n)
	add("pull: shuttle (%d,-1,1) +x plug pads=(0,-1,-1)", n+1)
	add("cut: shuttle (%d,0) +x feed far=-y", n+1)
	add("wire (%d,0,1)", n+2)
	add("jack (%d,-1,1)", n+2)

	add("line: wire (%d,-2,1)", n+2)
	add("wire (%d,-2,1)..(%d,-2,1)", n+3, n+6)
	add("wire (%d,-1,1)..(%d,18,1)", n+6, n+6)
	add("wire (%d,18)..(-1,18)", n+6)
	add("wire (-1,19)..(-1,22)")
	add("wire (-1,21,1)..(-1,21,2)")

	add("wire (1,19)")
	add("link (1,20)..(%d,20) +y", n)
	add("wire (0,21,2)..(%d,21,2)", n)
	add("bucket (1,21) +x far=+z tokens=1")
	add("bucket (2,21)..(%d,21) +x far=+z", n)
	add("tray (1,21,-1)..(%d,21,-1)", n)
	for j := 1; j <= n; j++ {
		add("lamp%d: lamp (%d,21,-2)", j, j)
	}
	add("delay (0,22) +x")
	add("reed (1,22)..(%d,22) +y", n)
	return sketch(t, s.String())
}

// TestPanelKeysLightLamps: a panel that starts the chain at the pressed key and the reed line at
// the same instant sends as many steps as the key's distance from the end: keys 5, 15, 35, 50
// light lamps 5, 15, 35, 50.
//
// Common practice, no published source.
func TestPanelKeysLightLamps(t *testing.T) {
	const n = 53
	for _, key := range []int{5, 15, 35, 50, 1, 2, n} {
		b := panelAndReceiver(t, n)
		do(t, b, fmt.Sprintf("press key%d", key))
		rise, fall := pulseAt(t, b, "line", 1)
		if rise.Step != 1 || fall.Step != key+1 {
			t.Errorf("key %d: the line is live from step %d to %d, want 1 to %d", key, rise.Step, fall.Step, key+1)
		}
		var lit []string
		for id := range b.Parts() {
			if b.Thing(id).Kind == engine.Lamp && b.State(id).On {
				lit = append(lit, who(b, id))
			}
		}
		if got, want := strings.Join(lit, " "), fmt.Sprint("lamp", key); got != want {
			t.Errorf("key %d lights %q, want %s", key, got, want)
		}

		pressed := engine.EventID(b.EventCount() + 1)
		do(t, b, fmt.Sprintf("release key%d", key))
		for _, e := range b.Events(pressed) {
			if who(b, e.ID) == "line" {
				t.Errorf("key %d: its release sends something down the line at %v", key, e.At())
			}
		}
		for id := range b.Parts() {
			if s := b.State(id); (b.Thing(id).Kind == engine.Link || b.Thing(id).Kind == engine.Shuttle) && s.On {
				t.Errorf("key %d, after its release: %s is still out", key, who(b, id))
			}
		}
	}
}

// TestZeroStepPulse: a pulse of zero steps still sets off a part that only has to hear, and none
// that needs its power.
//
// Common practice, no published source.
func TestZeroStepPulse(t *testing.T) {
	sentence{
		says: "a zero-step pulse sets off what is armed",
		bench: `
			       battery (1,-2)
			armed: link (1,0) +y
			wants: link (-1,0) -x
			reed:  reed (0,1) +x far=+z
			       battery (0,1,2)`,
		acts: `fire (0,0)`,
		log: `
			1.0.0 cell (0, 0) forced
			1.0.0 reed on
			1.0.1 cell (0, 0) freed
			1.1.0 armed out < cell (0, 0) forced
			1.1.1 wants lapses < cell (0, 0) forced`,
	}.show(t)
}

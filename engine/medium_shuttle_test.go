package engine_test

import (
	"testing"

	"pulsewright/engine"
)

func TestShuttle(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "breaking is instant and making is late: a plug pulled from a jack",
			bench: `
				k: key (-1,0)
				   battery (1,-2)
				   wire (1,-1)
				j: jack (1,0)
				w: wire (1,1)
				s: shuttle (0,0) +x plug`,
			acts: `
				press k
				release k @10`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				1.1.0 j live < s out
				1.1.0 w live < s out
				3.0.0 s lands < s out
				10.0.0 k off
				10.1.0 s home < k off
				12.0.0 s lands < s home
				12.0.0 j dead < s lands
				12.0.0 w dead < s lands`,
		},
		{
			says: "breaking is instant and making is late: a feed",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x feed
				a: lamp (1,1) on
				b: lamp (2,1)`,
			acts: `
				press k
				release k @10`,
			log: `
				1.0.0 k on
				1.1.0 s out
				1.1.0 a dark < s out
				3.0.0 s lands
				3.0.0 b lit < s lands
				10.0.0 k off
				10.1.0 s home
				10.1.0 b dark < s home
				12.0.0 s lands
				12.0.0 a lit < s lands`,
		},
		{
			says: "breaking is instant and making is late: a bridge",
			bench: `
				k: key (-1,0)
				   battery (1,-2)
				   wire (1,-1)
				s: shuttle (0,0) +x bridge
				w: wire (1,1)`,
			acts: `
				press k
				release k @10`,
			log: `
				1.0.0 k on
				1.1.0 s out
				1.1.0 cell (1, 0) dead < s out
				1.1.0 w dead < s out
				3.0.0 s lands
				10.0.0 k off
				10.1.0 s home
				12.0.0 s lands
				12.0.0 cell (1, 0) live < s lands
				12.0.0 w live < s lands`,
		},
		{
			says: "a bridge that goes live tells its neighbours, its own shuttle among them",
			bench: `
				k: key (1,-1)
				s: shuttle (0,0) +x bridge pads=(1,-1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.0.0 cell (1, 0) live < k on
				1.1.0 s out < cell (1, 0) live
				1.1.0 cell (1, 0) dead
				3.0.0 s lands`,
		},
		{
			says: "the seat it needs is taken by a part: it is blocked and the act lapses",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x feed
				   lamp (2,0)`,
			acts: `
				press k
				nudge s @2`,
			log: `
				1.0.0 k on
				1.1.0 s blocked < k on
				2.0.0 s nudged
				2.1.0 s blocked < s nudged`,
			armed: "s lamp (2, 0)",
		},
		{
			says: "travel of its own: its slug is in transit that long, whatever the rule says",
			bench: `
				rules travel=7
				k: key (0,0)
				s: shuttle (1,0) +x bridge travel=3
				k2: key (0,2)
				t: shuttle (1,2) +x bridge`,
			acts: `
				press k
				press k2`,
			log: `
				1.0.0 k on
				1.0.1 k2 on
				1.1.0 s out < k on
				1.1.1 t out < k2 on
				4.0.0 s lands < s out
				8.0.0 t lands < t out`,
		},
		{
			says: "the seat it needs is taken by another slug, on its way or there",
			bench: `
				j: key (-1,0)
				k: key (5,0)
				s: shuttle (0,0) +x plug
				r: shuttle (4,0) -x plug`,
			acts: `
				press j
				press k
				nudge r @3
				nudge r @4`,
			log: `
				1.0.0 j on
				1.0.1 k on
				1.1.0 s out
				1.1.1 r blocked
				3.0.0 r nudged
				3.0.1 s lands
				3.1.0 r blocked
				4.0.0 r nudged
				4.1.0 r blocked`,
			armed: "r",
		},
		{
			says: "a jack is no hindrance; any slug in a jack opens it",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x bridge
				j: jack (2,0)
				   wire (2,1)
				   battery (2,2)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out
				1.1.0 cell (1, 0) dead
				3.0.0 s lands`, // the bridge conducts where the jack did: the level stays
		},
		{
			says: "at its turn it looks again: wanted = state, the act lapses, and only that",
			bench: `
				s: shuttle (1,0) +x feed
				   lamp (3,0) on`,
			acts: `fire (0,0) steps=1`,
			log: `
				1.0.0 cell (0, 0) forced
				1.1.0 cell (0, 0) freed
				1.1.1 s lapses`,
		},
		{
			says: "a shuttle in transit does not act; when the slug has landed, the shuttle itself hears",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x feed`,
			acts: `
				press k
				release k @2
				nudge s @2`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				2.0.0 k off
				2.0.1 s nudged
				3.0.0 s lands < s out
				3.1.0 s home < s lands
				5.0.0 s lands < s home`,
		},
		{
			says: "leaving is a change at the seat, then a change at the shuttle's own cell",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x plug
				   battery (0,4)
				   battery (1,4)
				y: link (0,1) +y pads=(0,3)
				x: link (1,1) +y pads=(0,3)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out
				1.2.0 x out < s out
				1.2.1 y out < s out
				3.0.0 s lands`,
		},
		{
			says: "landing is a change at the seat it lands on, then the shuttle hears",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x plug
				   battery (2,4)
				x: link (2,1) +y pads=(0,3)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out
				3.0.0 s lands
				3.1.0 x out < s lands`,
		},
		{
			says: "without a slug it moves with a transit time, is never blocked, and changes only its own cell",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x none
				   lamp (2,0)
				   battery (1,4)
				x: link (1,1) +y pads=(0,3)`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.1.0 s out
				2.0.0 k off
				3.0.0 s lands
				3.1.0 s home
				5.0.0 s lands`,
			armed: "x",
		},
	})
}

// TestSeats: a seat is a cell like others: a slug holds the seat it is in and the one it is
// heading for.
func TestSeats(t *testing.T) {
	b := sketch(t, `
		k: key (-1,0)
		s: shuttle (0,0) +x feed`)
	near, far := engine.Cell{X: 1}, engine.Cell{X: 2}
	if _, err := b.Place(near, engine.Part{Kind: engine.Lamp}); err == nil {
		t.Error("a lamp is placed where a slug sits")
	}
	if _, err := b.Place(engine.Cell{X: 3}, engine.Part{Kind: engine.Shuttle, Facing: engine.NegX, Slug: engine.Feed, Out: true}); err == nil {
		t.Error("a shuttle is placed whose slug would sit on another")
	}
	if err := b.Press(part(t, b, "k"), 0); err != nil {
		t.Fatal(err)
	}
	if err := b.RunTicks(t.Context(), 1, engine.Budget{}); err != nil {
		t.Fatal(err)
	}
	if s := b.CellState(far); s.Seated != engine.NoSlug || !s.Awaits {
		t.Errorf("in transit the far seat is %+v", s)
	}
	if s := b.CellState(near); s.Seated != engine.NoSlug || s.Awaits {
		t.Errorf("in transit the near seat is %+v", s)
	}
	if s := b.State(part(t, b, "s")); !s.Transit || !s.On {
		t.Errorf("in transit the shuttle is %+v", s)
	}
	if _, err := b.Place(far, engine.Part{Kind: engine.Lamp}); err == nil {
		t.Error("a lamp is placed where a slug will land")
	}
	if _, err := b.Place(far, engine.Part{Kind: engine.Jack}); err != nil {
		t.Errorf("a jack is refused where a slug will land: %v", err)
	}
	if err := b.Run(t.Context(), engine.Budget{}); err != nil {
		t.Fatal(err)
	}
	if s := b.CellState(far); s.Seated != engine.Feed || s.Awaits {
		t.Errorf("the far seat is %+v, want a feed", s)
	}
	if err := b.Remove(part(t, b, "s")); err != nil {
		t.Fatal(err)
	}
	if s := b.CellState(far); s.Seated != engine.NoSlug {
		t.Errorf("removing the shuttle leaves %v", s.Seated)
	}
}

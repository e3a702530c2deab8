package engine_test

import (
	"errors"
	"testing"

	"pulsewright/engine"
)

func TestGrip(t *testing.T) {
	showAll(t, []sentence{
		{
			says: "going out, a loose slug at its near seat is moved: it leaves at once, is in transit, and lands",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x push
				   slug (1,0) feed
				w: wire (1,1)
				v: wire (2,1)`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				1.1.0 w dead < s out
				1.1.0 v dead < s out
				3.0.0 s lands < s out
				3.0.0 v live < s lands
				3.0.0 w live < s lands`,
		},
		{
			says: "with none there it goes out alone, at once, and nothing is in transit: a far seat that is taken does not matter",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x push
				   lamp (2,0)`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				2.0.0 k off
				2.1.0 s home < k off`,
		},
		{
			says: "blocked if the far seat is taken",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x push
				   slug (1,0) feed
				   slug (2,0) plug`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s blocked < k on`,
			armed: "s",
		},
		{
			says: "push goes home alone; both takes a loose slug at the far seat back",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x push
				   slug (1,0) feed
				z: shuttle (0,0,1) +x both
				   slug (1,0,1) plug
				   cord k z`,
			acts: `
				press k
				release k @5`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				1.1.1 z out < k on
				3.0.0 s lands < s out
				3.0.1 z lands < z out
				5.0.0 k off
				5.1.0 s home < k off
				5.1.1 z home < k off
				7.0.0 z lands < z home`,
		},
		{
			says: "a slug of another shuttle's own is never taken, and its seat counts as taken",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x push
				   shuttle (1,1) -y feed
				z: shuttle (0,0,3) +x push
				   slug (1,0,3) feed
				   shuttle (2,1,3) -y feed
				   cord k z`,
			acts: `press k`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				1.1.1 z blocked < k on`,
			armed: "z",
		},
		{
			says: "letgo: told in transit it lets go; the slug lands at once where it was heading, then the shuttle flips alone",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x both letgo
				   slug (1,0) feed
				v: wire (2,1)`,
			acts: `
				press k
				release k @2`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				2.0.0 k off
				2.1.0 s lands < k off
				2.1.0 v live < s lands
				2.1.0 s home < k off`,
		},
		{
			says: "if its slug has landed meanwhile, the act is one like any other",
			bench: `
				k: key (-1,0)
				s: shuttle (0,0) +x both letgo
				   slug (1,0) plug`,
			acts: `
				release k @3
				press k`,
			log: `
				1.0.0 k on
				1.1.0 s out < k on
				3.0.0 k off
				3.0.1 s lands < s out
				3.1.0 s home < k off
				5.0.0 s lands < s home`,
		},
	})
}

// TestLooseSlugs: where they can be put, and that they stay where they are whatever else is placed or taken away.
func TestLooseSlugs(t *testing.T) {
	b := engine.New(engine.DefaultRules())
	at := func(x int32) engine.Cell { return engine.Cell{X: x} }
	place := func(x int32, p engine.Part) engine.ID {
		id, err := b.Place(at(x), p)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	place(0, engine.Part{Kind: engine.Lamp})
	jack := place(2, engine.Part{Kind: engine.Jack})
	place(7, engine.Part{Kind: engine.Shuttle, Slug: engine.Plug})
	for x, want := range map[int32]string{0: "cell (0, 0) is taken by a lamp; a loose slug goes into an empty cell or a jack",
		8: "cell (8, 0) is taken by the plug of a shuttle; a loose slug goes into an empty cell or a jack"} {
		if err := b.PutSlug(at(x), engine.Feed); err == nil || err.Error() != want {
			t.Errorf("a feed at %d: %v", x, err)
		}
	}
	if err := b.PutSlug(at(2), engine.NoSlug); err == nil || !errors.As(err, new(*engine.NoLooseSlug)) {
		t.Errorf("no slug is taken away: %v", err)
	}
	if err := b.PutSlug(at(8), engine.NoSlug); err == nil {
		t.Error("a shuttle's own slug is taken away")
	}
	for _, x := range []int32{2, 3} {
		if err := b.PutSlug(at(x), engine.Plug); err != nil {
			t.Fatal(err)
		}
	}
	if s := b.State(jack); s.Conduct || s.Seated != engine.Plug || !s.Loose {
		t.Errorf("the jack stands so: %+v", s)
	}
	place(3, engine.Part{Kind: engine.Jack})
	if err := b.Remove(jack); err != nil {
		t.Fatal(err)
	}
	for _, x := range []int32{2, 3} {
		if s := b.CellState(at(x)); s.Seated != engine.Plug || !s.Loose {
			t.Errorf("the slug at %d is gone: %+v", x, s)
		}
		if err := b.PutSlug(at(x), engine.NoSlug); err != nil {
			t.Error(err)
		}
	}
	if s := b.CellState(at(3)); !s.Conduct || s.Seated != engine.NoSlug || s.Loose {
		t.Errorf("the jack without its slug: %+v", s)
	}
	for _, p := range []engine.Part{{Kind: engine.Shuttle, Grip: engine.Push, Slug: engine.Feed}, {Kind: engine.Shuttle, LetGo: true}, {Kind: engine.Shuttle, Travel: -1}} {
		if _, err := b.Place(at(20), p); err == nil {
			t.Errorf("%+v is placed", p)
		}
	}
	if _, err := b.Shelve(engine.Part{Kind: engine.Shuttle, Grip: engine.Push}); err == nil {
		t.Error("a grip without seats is placed")
	}
	if err := b.Check(); err != nil {
		t.Error(err)
	}
}

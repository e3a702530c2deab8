package help

import (
	"context"
	"strings"
	"testing"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// TestKindRows: every kind has all that is written down of a kind elsewhere than in the engine's table: a row of say's with a
// letter and words of its own, a word that places it, and a line in the guide. That there are as many rows as kinds, the compiler sees.
func TestKindRows(t *testing.T) {
	medium, err := engine.Guide.ReadFile("guide/medium.md")
	if err != nil {
		t.Fatal(err)
	}
	letters := map[byte]engine.Kind{}
	for _, k := range engine.Kinds() {
		row := say.Kinds[k]
		if row.Name != k.String() {
			t.Errorf("say.Kinds[%d] is of a %s, want a %v: the rows stand in the engine's order", k, row.Name, k)
		}
		if other, taken := letters[row.Letter]; taken || row.Letter < 'a' || row.Letter > 'z' {
			t.Errorf("%v: its letter is %q, want one of a to z that no other kind has (%v)", k, row.Letter, other)
		}
		letters[row.Letter] = k
		if strings.ContainsRune(say.OwnLetters, rune(row.Letter)) {
			t.Errorf("%v: its letter %q is one of those for kinds of a script's own: strike it out of say.OwnLetters", k, row.Letter)
		}
		off, on := builtins.StateWords(k)
		if on == "" || off == on || (off == "") != (k.Trait().Shows == engine.ShowsAlways) {
			t.Errorf("%v: the words for its states are %q and %q", k, off, on)
		}
		if (row.Shown[0] == "") != (row.Shown[1] == "") {
			t.Errorf("%v: a map says %q of it", k, row.Shown)
		}
		feeds := k.Trait().Feeds
		if row.Reacts == "" || feeds == engine.FeedsNothing && row.Feeds == "" || feeds == engine.FeedsFront && row.While == "" {
			t.Errorf("%v: help does not say when it reacts, or what it feeds and when: %+v", k, row)
		}
		if w, ok := builtins.Lookup(k.String()); !ok || w.Places != k || w.Example == "" || len(w.See) == 0 {
			t.Errorf("%v: no word places it, or one without an example: %+v", k, w)
		}
		if !strings.Contains(string(medium), "\n| "+k.String()+" | ") {
			t.Errorf("%v: no line in guide/medium.md", k)
		}
	}
}

// TestKindFacts: help says of every kind which cells it reads, where its far pad is, who tells it, when it reacts and what it
// feeds; what it says of pads and far pads is where a part has them.
func TestKindFacts(t *testing.T) {
	for _, k := range engine.Kinds() {
		b := engine.New(engine.DefaultRules())
		id, err := b.Place(engine.Cell{}, engine.Part{Kind: k, Facing: engine.PosY})
		if err != nil {
			t.Fatal(err)
		}
		pads := map[engine.Cell]bool{}
		for _, c := range b.PadCells(id) {
			pads[c] = true
		}
		facts := map[string]string{}
		for _, f := range kindFacts(k) {
			if facts[f.About] = f.Text; f.Text == "" {
				t.Errorf("%v: nothing said of %q", k, f.About)
			}
		}
		back, below := engine.Cell{Y: -2}, engine.Cell{Z: -2}
		far := "none"
		switch {
		case pads[back]:
			far = "two cells behind it; it hears nothing from there"
		case pads[below]:
			far = "two cells below it (-z); it hears nothing from there"
		}
		delete(pads, back)
		delete(pads, below)
		if facts["far pad"] != far {
			t.Errorf("%v: far pad: %s, want %s", k, facts["far pad"], far)
		}
		words := map[int]string{6: "its six neighbours", 5: "the five neighbours", 4: "the four cells", 1: "its back"}
		if w, ok := words[len(pads)]; ok != (len(pads) > 0) || !strings.HasPrefix(facts["reads"], w) {
			t.Errorf("%v reads %q; it has %d pads beside it", k, facts["reads"], len(pads))
		}
		help, err := On((&builtins.Env{Width: 200}), starlark.String(k.String()))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range facts {
			if !strings.Contains(help, f) {
				t.Errorf("help(%q) does not say %q", k, f)
			}
		}
	}
}

// TestKindReacts: when help says a part reacts, it does. Each is set down where there is something for it to do, and told.
func TestKindReacts(t *testing.T) {
	const ticks, drop = 5, 7
	words := map[[2]int64]string{{0, 0}: "in zero steps", {0, 1}: "in one step", {1, 0}: "in one tick", {ticks, 0}: "in its ticks", {drop, 0}: "in drop ticks"}
	for _, k := range engine.Kinds() {
		for _, fed := range []bool{true, false} {
			holders := k == engine.Bucket || k == engine.Chute // it has something to do if one is before it, and one below it
			switch {
			case k == engine.Tray: // it has no events but those of tokens that are consumed
				continue
			case fed == (k == engine.Chute || k == engine.Meter) && k != engine.Bucket:
				continue
			}
			b := engine.New(engine.DefaultRules())
			place := func(at engine.Cell, p engine.Part) engine.ID {
				id, err := b.Place(at, p)
				if err != nil {
					t.Fatal(err)
				}
				return id
			}
			p := engine.Part{Kind: k, Op: engine.Or, Tokens: 1, Drop: drop}
			if k.Trait().Usual > 0 {
				p.Ticks = ticks
			}
			id, back := place(engine.Cell{}, p), engine.Cell{X: -1}
			if holders {
				place(engine.Cell{X: 1}, engine.Part{Kind: engine.Tray})
				place(engine.Cell{Z: -1}, engine.Part{Kind: engine.Tray})
			}
			var err error
			switch {
			case k == engine.Key:
				err = b.Press(id, 0)
			case k.Trait().Conducts:
				err = b.Fire(engine.Target{Cell: back}, engine.Firing{Steps: 1})
			case k == engine.Battery:
			case fed:
				place(back, engine.Part{Kind: engine.Battery})
				err = b.Nudge(engine.Target{ID: id}, false, 0)
			case k == engine.Bucket:
				err = b.Nudge(engine.Target{ID: id}, false, 0)
			default:
				place(back, engine.Part{Kind: engine.Tray, Tokens: 1})
				err = b.Nudge(engine.Target{ID: id}, false, 0)
			}
			if err != nil {
				t.Fatal(err)
			}
			if err := b.RunTicks(context.Background(), 10, engine.Budget{}); err != nil {
				t.Fatal(err)
			}
			want := "never changes"
			for _, ev := range b.Events(1) {
				if ev.ID == id && ev.What != engine.Nudged {
					want = words[[2]int64{ev.Tick - 1, int64(ev.Step)}]
					break
				}
			}
			if k == engine.Key && want == "in zero steps" {
				want = "in step 0"
			}
			if says := say.Kinds[k].Reacts; want == "" || !strings.Contains(says, want) {
				t.Errorf("%v, fed %v: help says it reacts %q, and it did %q", k, fed, says, want)
			}
		}
	}
}

package play

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/narrate"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// mostTurns is how many turns a film has at most: nobody watches more.
const mostTurns = 5000

// mostQuiet is how many quiet ticks are passed over without a word.
const mostQuiet = 3

// film is a stretch of the past, ready to be played.
type film struct {
	env    *builtins.Env
	frames []frame // the first is before the first turn
	first  engine.EventID
	end    engine.EventID // the last
	chart  *picture.Chart
	scope  *picture.ScopeFilm // nil: the map stands
	view   picture.View
	below  int      // lines that stand below the map
	last   struct { // the map that was drawn last
		n     int
		chart *picture.Chart
	}
}

// frame is a turn in which something happened.
type frame struct {
	at    engine.Instant
	focus engine.Cell // where something happened first
	story []string    // one sentence each
	marks int         // how many of them are marks: those come first
}

var _ builtins.Film = (*film)(nil)

// filmOf reads since and until and what stands, and collects the turns. From is the first event that was not there before; 0: it plays the past.
func filmOf(c *builtins.Call, from engine.EventID) *film {
	b := c.Env.Bench
	f := &film{env: c.Env}
	first, last := max(from, 1), engine.EventID(b.EventCount())
	if at, ok := b.LastEdit(); ok && (from > last || from == 0 && !c.Has("since") && !c.Has("until")) {
		first = builtins.EventAfter(b, at) // the last run
	}
	if c.Has("since") {
		first = c.Boundary("since", true)
	}
	if c.Has("until") {
		last = min(last, c.Boundary("until", false)-1)
	}
	if c.Err != nil {
		return f
	}
	if f.chart = picture.PieceOf(c); c.Err != nil {
		return f
	}
	f.first, f.end = first, last
	f.collect(c, first, last)
	if c.Choice("what", "map") == "scope" {
		f.scope = picture.ScopeFilmOf(c, "of", first, last)
	}
	return f
}

// label names a part in a story.
func (f *film) label(id engine.ID) string { return say.Printable(f.env.Bench.Label(id)) }

func (f *film) dots() string {
	if f.env.ASCII {
		return ".."
	}
	return "⋯"
}

// collect makes a frame of each turn.
func (f *film) collect(c *builtins.Call, first, last engine.EventID) {
	b := f.env.Bench
	var fold narrate.Fold
	flush := func() {
		if n := len(f.frames) - 1; n > 0 {
			f.frames[n].story = fold.Sentences(b, f.label, f.dots())
			if gap := f.frames[n].at.Tick - f.frames[n-1].at.Tick - 1; n > 1 && gap > mostQuiet {
				f.frames[n].story = slices.Insert(f.frames[n].story, 0, fmt.Sprintf("%d quiet ticks were passed over.", gap))
			}
		}
		fold.Reset()
	}
	f.frames = []frame{{}}
	if first > last {
		return
	}
	for id, e := range b.Events(first) {
		if id > last {
			break
		}
		if id%4096 == 0 {
			if err := f.env.Stopped(); err != nil {
				c.Wrap(err)
				return
			}
		}
		if len(f.frames) == 1 || !fold.Takes(e) {
			flush()
			if len(f.frames) > mostTurns {
				c.Fail("something happens in more than %d turns: choose with since= and until=, or ticks=", mostTurns)
				return
			}
			focus, _ := b.CellOf(e.ID)
			f.frames = append(f.frames, frame{at: e.At(), focus: focus})
		}
		fold.Add(id, e, b)
	}
	flush()
	if len(f.frames) > 1 {
		f.frames[0] = frame{at: f.frames[1].at, focus: f.frames[1].focus}
	}
}

// Len is how many pictures there are.
func (f *film) Len() int { return len(f.frames) }

// At is when a picture was taken; the first is just before its instant.
func (f *film) At(n int) engine.Instant { return f.frames[n].at }

// bench is the bench as it stood after a turn.
func (f *film) bench(n int) (*engine.Bench, error) {
	b := f.env.Bench
	at := f.frames[n].at
	if n > 0 {
		if at.Turn++; b.Now().Before(at) {
			return b, nil
		}
	}
	was, err := b.BeforeTurn(f.env.Context(), at)
	if err == nil && was == nil {
		err = fmt.Errorf("the history no longer knows how the bench stood at %v", f.frames[n].at)
	}
	return was, err
}

// picture is the map as it stood after a turn.
func (f *film) picture(n int) (*picture.Chart, error) {
	if f.last.chart == nil || f.last.n != n {
		b, err := f.bench(n)
		if err != nil {
			return nil, err
		}
		m, err := f.chart.On(b)
		if err != nil {
			return nil, err
		}
		f.last.n, f.last.chart = n, m
	}
	return f.last.chart, nil
}

// Next is the first picture after picture n at which a part changes; of a row or a frame, any of its parts.
func (f *film) Next(part string, n int) (int, error) {
	b := f.env.Bench
	called := func(name string) bool { return name == part || strings.HasPrefix(name, part+".") }
	var names []string
	for id := range b.Parts() {
		if name := b.Name(id); name != "" {
			names = append(names, name)
		}
	}
	if !slices.ContainsFunc(names, called) {
		text := fmt.Sprintf("no part is called %q", part)
		if near := say.Nearest(part, names); near != "" {
			text += "; did you mean " + near + "?"
		}
		return 0, errors.New(text)
	}
	for id, e := range b.Events(f.first) {
		if id > f.end {
			break
		}
		if !called(b.Name(e.ID)) {
			continue
		}
		for k := n + 1; k < len(f.frames) && !e.At().Before(f.frames[k].at); k++ {
			if f.frames[k].at == e.At() {
				return k, nil
			}
		}
	}
	return 0, fmt.Errorf("%s does not change any more", part)
}

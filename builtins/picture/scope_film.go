package picture

import (
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// ScopeFilm is a timing diagram that stands while a cursor walks over it. Every step in which anything happens has a column.
type ScopeFilm struct {
	env     *builtins.Env
	lanes   []*Lane
	moments []Moment
	more    int
}

// ScopeFilmOf reads which lanes there are, if of names a parameter that says so, and fills them, from the first event to the last.
func ScopeFilmOf(c *builtins.Call, of string, first, last engine.EventID) *ScopeFilm {
	f := &ScopeFilm{env: c.Env}
	named := of != "" && c.Has(of)
	if named {
		for _, v := range c.List(of) {
			f.lanes = lanesOf(c, of, f.lanes, v)
		}
	}
	if c.Err != nil {
		return nil
	}
	var err error
	if f.lanes, _, f.more, err = Collect(c.Env, f.lanes, first, last); err != nil {
		c.Wrap(err)
		return nil
	}
	if !named {
		FirstAbove(f.lanes)
	}
	for id, e := range c.Env.Bench.Events(first) {
		if m := (Moment{e.Tick, e.Step}); id <= last && (len(f.moments) == 0 || f.moments[len(f.moments)-1] != m) {
			f.moments = append(f.moments, m)
		}
	}
	return f
}

func (f *ScopeFilm) grid(room, limit int, cursors ...cursor) *grid {
	cols, cut := TimeAxis(f.moments, room, limit)
	g := LayOut(f.env, f.lanes, cols, cut, cursors)
	g.More = f.more
	return g
}

// Text is the whole diagram.
func (f *ScopeFilm) Text(columns int) string {
	return ScopeAsText(f.env, f.grid(columns, ScopeLimit), columns)
}

// SVG is the whole diagram as a picture.
func (f *ScopeFilm) SVG() string { return ScopeSVG(f.env, f.grid(SvgRoom, ScopeLimitSVG)) }

// Board draws the stretch in which an instant lies, with the cursor there and without a legend, in so many columns and rows.
func (f *ScopeFilm) Board(at engine.Instant, columns, rows int) string {
	const axis = 4 // rows of numbers, the ruler and the cursor
	g := f.grid(columns, ScopeLimit, cursor{at: at})
	left := ""
	if most := max(rows-axis-1, 1); len(g.rows) > most {
		left = say.Count(len(g.rows)-most+f.more, "lane") + " more: choose with of="
		g.rows = g.rows[:most]
	}
	t := newScopeText(f.env, g, columns)
	band := t.bands[len(t.bands)-1]
	for _, b := range t.bands {
		if c := g.cursors[0].col; c >= b[0] && c < b[1] {
			band = b
		}
	}
	var out strings.Builder
	t.band(&out, band[0], band[1])
	return strings.TrimRight(out.String(), "\n") + strings.TrimSuffix("\n"+f.env.Paint.Apply(say.Dim, left), "\n")
}

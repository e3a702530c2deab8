package play

import (
	"math"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// mark is where a film stops by itself, so that a talk can be planned.
type mark struct {
	at      engine.Instant
	caption string
}

const wantMark = "a tick, a pair (tick, step), an instant or an event; or a pair of one of these and a caption, such as (1, \"the quay is pressed\")"

// marksOf reads marks: moments, with a caption or without. They need not have been yet.
func marksOf(c *builtins.Call) (marks []mark) {
	for _, v := range c.List("at") {
		m, of := mark{}, v
		if pair, ok := v.(starlark.Tuple); ok && len(pair) == 2 {
			if caption, ok := starlark.AsString(pair[1]); ok {
				m.caption, of = say.OneLine(caption), pair[0]
			}
		}
		at, ok := momentOf(of)
		if !ok {
			c.Bad("at", builtins.Show(v), wantMark)
			return nil
		}
		m.at = at
		marks = append(marks, m)
	}
	return marks
}

// momentOf is the beginning of a moment.
func momentOf(v starlark.Value) (at engine.Instant, ok bool) {
	count := func(v starlark.Value) (n int64) {
		i, isInt := v.(starlark.Int)
		if n, ok = i.Int64(); !isInt || n < 0 || n > builtins.Biggest {
			ok = false
		}
		return n
	}
	switch v := v.(type) {
	case builtins.Instant:
		return v.Instant, true
	case *builtins.Event:
		return v.At(), true
	case starlark.Int:
		at.Tick = count(v)
	case starlark.Tuple:
		if len(v) == 2 {
			if at.Tick = count(v[0]); ok {
				at.Step = int(min(count(v[1]), math.MaxInt32))
			}
		}
	}
	return at, ok
}

// mark marks the first turn at or after each of these moments; the caption stands above its story.
func (f *film) mark(c *builtins.Call, marks []mark) {
	for _, m := range marks {
		n := 1
		for n < len(f.frames) && f.frames[n].at.Before(m.at) {
			n++
		}
		if n >= len(f.frames) {
			if n > 1 {
				c.Fail("for parameter at: nothing happens at %v or later: the last turn is %v", m.at, f.frames[n-1].at)
			}
			return
		}
		text := "mark"
		if m.caption != "" {
			text += ": " + m.caption
		}
		fr := &f.frames[n]
		fr.story = append(fr.story[:fr.marks:fr.marks], append([]string{text}, fr.story[fr.marks:]...)...)
		fr.marks++
	}
}

// Marked reports whether playback stops after a turn.
func (f *film) Marked(n int) bool { return f.frames[n].marks > 0 }

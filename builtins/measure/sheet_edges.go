package measure

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// mostSteps is how many steps a data sheet tells of each edge.
const mostSteps = 40

// edges tells what happened from an event on, edge by edge: under each stimulus what came of it, step by step, what is alike
// named together.
//
//	wire in was forced live at 1.0.0
//	  1.0 11 wires (0, 1) ... (2, 4) went live
//	  1.1 shuttles pull, lend went out; jack jack went live
func edges(e *builtins.Env, b *engine.Bench, from engine.EventID) string {
	root := map[engine.EventID]*edgeStory{}
	var stories []*edgeStory
	for id, ev := range b.Events(from) {
		r := root[ev.Cause]
		if r == nil { // a stimulus, or what goes by itself from how it is posed
			r = &edgeStory{first: ev}
			stories = append(stories, r)
		} else {
			r.add(b, ev)
		}
		root[id] = r
	}
	var lines []string
	for _, r := range stories {
		lines = append(lines, builtins.Told(b, r.first))
		for i, s := range r.steps {
			if i == mostSteps {
				lines = append(lines, fmt.Sprintf("  and %d more steps", len(r.steps)-i))
				break
			}
			lines = append(lines, e.Paragraph(fmt.Sprintf("%d.%d %s", s.tick, s.step, deeds(e, b, s.deeds)), "  "))
		}
	}
	if len(lines) == 0 {
		return "nothing happens"
	}
	return strings.Join(lines, "\n")
}

// edgeStory is one stimulus and what came of it.
type edgeStory struct {
	first engine.Event
	steps []edgeStep
}

type edgeStep struct {
	tick  int64
	step  int32
	deeds []deedsAlike
}

// deedsAlike are events of one step that say the same of parts of one kind.
type deedsAlike struct {
	what engine.What
	arg  int32
	kind engine.Kind
	ids  []engine.ID
}

func (r *edgeStory) add(b *engine.Bench, ev engine.Event) {
	n := len(r.steps)
	if n == 0 || r.steps[n-1].tick != ev.Tick || r.steps[n-1].step != ev.Step {
		r.steps = append(r.steps, edgeStep{tick: ev.Tick, step: ev.Step})
		n++
	}
	s := &r.steps[n-1]
	kind := b.KindOf(ev.ID)
	for i := range s.deeds {
		if d := &s.deeds[i]; d.what == ev.What && d.arg == ev.Arg && d.kind == kind {
			d.ids = append(d.ids, ev.ID)
			return
		}
	}
	s.deeds = append(s.deeds, deedsAlike{ev.What, ev.Arg, kind, []engine.ID{ev.ID}})
}

// inPlural turns what one part did into what several did.
var inPlural = strings.NewReplacer("was ", "were ", "its slug", "their slugs", "its token", "their tokens", "a token", "a token each")

func deeds(e *builtins.Env, b *engine.Bench, ds []deedsAlike) string {
	var says []string
	for _, d := range ds {
		name := builtins.Who(b, d.ids[0])
		switch n := len(d.ids); {
		case n > 3:
			name = fmt.Sprintf("%d %s", n, e.Those(b, d.ids[0], d.ids[n-1]))
		case n > 1:
			names := make([]string, n)
			for i, id := range d.ids {
				names[i] = strings.TrimPrefix(say.Clean(b.Label(id)), d.kind.String()+" ")
			}
			name = say.Plural(d.kind.String()) + " " + strings.Join(names, ", ")
		}
		did := builtins.Past(b, engine.Event{ID: d.ids[0], What: d.what, Arg: d.arg, Cause: 1})
		if len(d.ids) > 1 {
			did = inPlural.Replace(did)
		}
		says = append(says, name+" "+did)
	}
	return strings.Join(says, "; ")
}

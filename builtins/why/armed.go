package why

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

func armedWords() []builtins.Entry {
	return []builtins.Entry{
		{Name: "armed", Topic: "seeing", Sentence: "Lists the parts that are armed, with what would tell them: their power calls for another state, and the next news sets them off.",
			Returns: "a list of parts, that has .rows, too: for each .part .state .wants .tellers",
			Example: "battery((0, 0))\nl = link((1, 0), \"+y\")\nwire((2, 0))\nexpect_equal(list(armed()), [l])\nexpect_equal((armed().rows[0].wants, armed().rows[0].tellers), (\"out\", parts(\"wire\")))", See: []string{"state", "nudge", "whynot"}, Call: listArmed},
	}
}

func listArmed(c *builtins.Call) (starlark.Value, error) {
	return (&ArmedList{bench: c.Env.Bench}).of(c.Env), nil
}

// of looks which parts are armed now.
func (a *ArmedList) of(e *builtins.Env) *ArmedList {
	b := a.bench
	for id := range b.Parts() {
		if b.State(id).Armed {
			a.ids = append(a.ids, id)
			a.rows = append(a.rows, armedRow(b, id))
		}
	}
	a.text = a.describe(e)
	return a
}

// ArmedList is the parts that would go off if they were told, as they were when it was made.
type ArmedList struct {
	bench *engine.Bench
	ids   []engine.ID
	rows  []starlark.Value
	text  string
}

var (
	_ starlark.HasAttrs  = (*ArmedList)(nil)
	_ starlark.Indexable = (*ArmedList)(nil)
	_ starlark.Sequence  = (*ArmedList)(nil)
	_ starlark.HasBinary = (*ArmedList)(nil)
)

// mostArmed is how many lines are printed.
const mostArmed = 40

// armedFold is from how many parts in the same situation on one line stands for all.
const armedFold = 3

// situation is what armed parts told in one line have in common.
type situation struct{ kind, state, wants, tellers string }

func (a *ArmedList) describe(e *builtins.Env) string {
	if len(a.ids) == 0 {
		return "no part is armed"
	}
	b := a.bench
	var order []situation
	groups := map[situation][]engine.ID{}
	for _, id := range a.ids {
		s := a.situation(id)
		if groups[s] == nil {
			order = append(order, s)
		}
		groups[s] = append(groups[s], id)
	}
	var lines []string
	for _, s := range order {
		ids := groups[s]
		if len(ids) < armedFold {
			for _, id := range ids {
				lines = append(lines, e.Paragraph(a.line(id), ""))
			}
			continue
		}
		does := fmt.Sprintf("are %s, want %s", s.state, s.wants)
		if s.wants == "busy" {
			does = "have a token behind them and room in front"
		}
		by := "nothing beside them could tell them; nudge() does"
		if b.KindOf(ids[0]) == engine.Told {
			by = "nothing beside them would set them off"
		}
		if s.tellers != "" {
			by = "each told by a change of " + s.tellers
		}
		lines = append(lines, e.Paragraph(fmt.Sprintf("%d %s %s; %s", len(ids), e.Those(b, ids[0], ids[len(ids)-1]), does, by), ""))
	}
	if more := len(lines) - mostArmed; more > 0 {
		lines = append(lines[:mostArmed], fmt.Sprintf("and %s more", say.Count(more, "line")))
	}
	return strings.Join(lines, "\n")
}

// armedRow is one of the parts as a script sees it.
func armedRow(b *engine.Bench, id engine.ID) starlark.Value {
	s := b.State(id)
	var from []starlark.Value
	for _, t := range setsOff(b, id) {
		from = append(from, builtins.PartValue(b, t))
	}
	return builtins.StructOf("armed", starlark.StringDict{"part": builtins.Part{Bench: b, ID: id}, "state": builtins.StateValue(b.KindOf(id), s),
		"wants": starlark.String(wanted(b, id, s)), "tellers": starlark.NewList(from)})
}

func (a *ArmedList) situation(id engine.ID) situation {
	b := a.bench
	kind, s := b.KindOf(id), b.State(id)
	var from []string
	for _, t := range setsOff(b, id) {
		if w := say.Article(b.KindName(t)); !slices.Contains(from, w) {
			from = append(from, w)
		}
	}
	slices.Sort(from)
	return situation{b.KindName(id), builtins.Text(builtins.StateValue(kind, s)), wanted(b, id, s), builtins.List(from, 6, " or ")}
}

func (a *ArmedList) line(id engine.ID) string {
	b := a.bench
	kind, s := b.KindOf(id), b.State(id)
	var from []string
	for _, t := range setsOff(b, id) {
		from = append(from, builtins.Who(b, t))
	}
	by := "nothing beside it could tell it; nudge() does"
	if kind == engine.Told {
		by = "nothing beside it would set it off"
	}
	if len(from) > 0 {
		by = "told by a change of " + builtins.List(from, 6, " or ")
	}
	state := fmt.Sprintf("is %s, wants %s", builtins.Text(builtins.StateValue(kind, s)), wanted(b, id, s))
	if kind == engine.Chute {
		state = "has a token behind it and room in front"
	}
	return fmt.Sprintf("%s %s; %s", builtins.Who(b, id), state, by)
}

// setsOff lists those whose change would set an armed part off; a told kind may ask who it is.
func setsOff(b *engine.Bench, id engine.ID) []engine.ID {
	from := b.Tellers(id)
	if b.KindOf(id) == engine.Told {
		from = slices.DeleteFunc(from, func(t engine.ID) bool {
			_, moves := b.Moves(id, t)
			return !moves
		})
	}
	return from
}

// wanted is the state that what a part reads calls for, if it is armed.
func wanted(b *engine.Bench, id engine.ID, s engine.State) string {
	kind := b.KindOf(id)
	switch kind {
	case engine.Chute:
		return "busy"
	case engine.Told:
		for _, t := range setsOff(b, id) {
			want, _ := b.Moves(id, t)
			return b.Spec(id).States[want]
		}
		return b.Spec(id).States[b.CallsFor(id)]
	case engine.Meter:
		s.Level = 0
		if cell, onLattice := b.CellOf(id); onLattice {
			behind := b.CellState(cell.Add(b.Thing(id).Facing.Opposite().Cell()))
			s.Level = min(behind.Tokens, b.Rules().Reach)
		}
	}
	s.On = !s.On
	return builtins.Text(builtins.StateValue(kind, s))
}

func (a *ArmedList) Type() string         { return "armed" }
func (a *ArmedList) Freeze()              {}
func (a *ArmedList) Truth() starlark.Bool { return len(a.ids) > 0 }
func (a *ArmedList) Hash() (uint32, error) {
	return 0, fmt.Errorf("an armed cannot be a key of a dict")
}
func (a *ArmedList) String() string { return a.text }
func (a *ArmedList) Len() int       { return len(a.ids) }

// Index gives one of the parts.
func (a *ArmedList) Index(i int) starlark.Value { return builtins.Part{Bench: a.bench, ID: a.ids[i]} }

// Iterate goes through the parts.
func (a *ArmedList) Iterate() starlark.Iterator { return &indexIterator{of: a} }

// Binary answers: is this part armed?
func (a *ArmedList) Binary(op syntax.Token, y starlark.Value, side starlark.Side) (starlark.Value, error) {
	if op != syntax.IN || side != starlark.Right {
		return nil, nil
	}
	p, ok := y.(builtins.Part)
	return starlark.Bool(ok && p.Bench == a.bench && slices.Contains(a.ids, p.ID)), nil
}

// AttrNames lists the attributes.
func (a *ArmedList) AttrNames() []string { return []string{"rows", "text"} }

// Attr reads an attribute.
func (a *ArmedList) Attr(name string) (starlark.Value, error) {
	switch name {
	case "text":
		return starlark.String(a.text), nil
	case "rows":
		return starlark.NewList(slices.Clone(a.rows)), nil
	}
	return nil, nil
}

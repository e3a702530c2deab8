package builtins

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// LogOptions say which events the step log shows. Of each list, an event must match one; an empty list lets all pass.
type LogOptions struct {
	Off    bool
	Story  bool // sentences instead of columns
	Turns  bool // the turn beside tick and step; a story has it always
	Parts  []engine.ID
	Cells  []engine.Cell // cells that held no part
	Kinds  []string      // names of kinds
	Frames []string      // names of frames
	Words  []string
	From   int // first step shown
	To     int // last step shown, if Steps
	Steps  bool

	bench *engine.Bench // whose parts Parts are
}

// Shows reports whether the log shows an event. A nil o shows all.
func (o *LogOptions) Shows(b *engine.Bench, e engine.Event) bool {
	if o == nil {
		return true
	}
	if o.Off || o.Steps && (int(e.Step) < o.From || int(e.Step) > o.To) {
		return false
	}
	if len(o.Words) > 0 && !slices.Contains(o.Words, b.Word(e)) {
		return false
	}
	if len(o.Parts)+len(o.Cells) > 0 {
		if !(b == o.bench && slices.Contains(o.Parts, e.ID)) && !InCells(b, e.ID, o.Cells) {
			return false
		}
	}
	if len(o.Kinds)+len(o.Frames) > 0 {
		return Matches(b, e.ID, o.Kinds, o.Frames)
	}
	return true
}

// Matches reports whether a part is of one of the kinds and in one of the frames; an empty list lets all pass.
func Matches(b *engine.Bench, id engine.ID, kinds, frames []string) bool {
	if len(kinds) > 0 && !slices.Contains(kinds, b.KindName(id)) {
		return false
	}
	if len(frames) == 0 {
		return true
	}
	name := b.Name(id)
	for _, f := range frames {
		if strings.HasPrefix(name, f) && len(name) > len(f) && name[len(f)] == '.' {
			return true
		}
	}
	return false
}

// InCells reports whether a part or bare cell is one of the cells.
func InCells(b *engine.Bench, id engine.ID, cells []engine.Cell) bool {
	cell, onLattice := b.CellOf(id)
	return onLattice && slices.Contains(cells, cell)
}

// logWordNames are the words of the log, in the order in which the engine has them.
var logWordNames = func() (names []string) {
	for w := engine.Forced; w <= engine.Level; w++ {
		names = append(names, w.String())
	}
	return names
}()

var kindNames = kindsThat(func(engine.Trait) bool { return true })

func logWords() []Entry {
	return []Entry{{Name: "log", Topic: "seeing", Sentence: "Chooses what the step log shows from now on: what is not named shows all; log(False) shows nothing.",
		Params: []Param{
			{Name: "show", Type: "bool", Default: "True", Optional: true, Doc: "False: nothing"},
			{Name: "target", Type: "part", Default: "None", Optional: true, Doc: "only this part or cell; a list or row: any of these"},
			{Name: "kind", Type: "string", Default: "None", Optional: true, Allowed: kindNames, Doc: "only these kinds of part; one or a list"},
			{Name: "frame", Type: "a frame or its name", Default: "None", Optional: true, Doc: "only parts of this frame; one or a list"},
			{Name: "what", Type: "string", Default: "None", Optional: true, Allowed: logWordNames, Doc: "only these words of the log; one or a list"},
			{Name: "steps", Type: "a pair (from, to)", Unit: "steps", Default: "None", Optional: true, Doc: "only these steps of each tick, both ends included"},
			{Name: "story", Type: "bool", Default: "False", Optional: true, Doc: "True: sentences instead of columns, with the turn beside tick and step"},
			{Name: "turns", Type: "bool", Default: "False", Optional: true, Doc: "True: the turn stands beside tick and step"}},
		Example: "k = key((0, 0), name=\"k\")\nlog(target=\"k\", what=[\"on\", \"off\"], steps=(0, 5))\npress(k)\nrun()\nlog()",
		See:     []string{"events", "probe", "record"}, Call: setLog}}
}

func setLog(c *Call) (starlark.Value, error) {
	o := &LogOptions{Off: !c.Bool("show", true), Story: c.Bool("story", false), Turns: c.Bool("turns", false), bench: c.Env.Bench}
	if c.Has("target") {
		o.Parts, o.Cells = c.Targets("target")
	}
	o.Kinds = c.kinds("kind")
	o.Frames = c.FrameNames("frame")
	o.Words = c.whats("what")
	if c.Has("steps") && c.Err == nil {
		o.Steps = true
		o.From, o.To = c.pair("steps")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	c.Env.Log = o
	return nil, nil
}

// RecordNames are what record chooses from, by engine.Recording.
var RecordNames = []string{"all", "some", "none"}

// Targets reads one part, name or cell, or a list or row of them.
func (c *Call) Targets(param string) (ids []engine.ID, cells []engine.Cell) {
	if c.Err != nil || !c.Has(param) {
		return nil, nil
	}
	return c.TargetsOf(param, c.Value(param))
}

// TargetsOf reads what one value names.
func (c *Call) TargetsOf(param string, v starlark.Value) (ids []engine.ID, cells []engine.Cell) {
	add := func(v starlark.Value) {
		if c.Err != nil {
			return
		}
		if t := c.TargetOf(param, v); t.ID != 0 {
			ids = append(ids, t.ID)
		} else if c.Err == nil {
			cells = append(cells, t.Cell)
		}
	}
	switch v := v.(type) {
	case *Row:
		for _, id := range v.ids {
			add(Part{v.Bench, id})
		}
	case *starlark.List:
		if _, ok := AsCell(v); ok {
			add(v)
			break
		}
		for k := range v.Len() {
			if row, ok := v.Index(k).(*Row); ok {
				for _, id := range row.ids {
					add(Part{row.Bench, id})
				}
				continue
			}
			add(v.Index(k))
		}
	default:
		add(v)
	}
	return ids, cells
}

// kinds reads kinds of part, by name or by the word that places them: the built-in ones and those on this bench.
func (c *Call) kinds(param string) (names []string) {
	var own []string
	for _, s := range c.Env.Bench.Specs() {
		own = append(own, s.Name)
	}
	for _, v := range c.List(param) {
		if t, ok := v.(*OwnKind); ok {
			names = append(names, t.Spec.Name)
			continue
		}
		names = append(names, c.choice(param, v, own...))
	}
	return names
}

// whats reads words of the log: those of built-in kinds, and what the kinds on this bench say.
func (c *Call) whats(param string) (words []string) {
	var own []string
	for _, s := range c.Env.Bench.Specs() {
		for _, w := range s.Says {
			if w != "" {
				own = append(own, w)
			}
		}
	}
	for _, v := range c.List(param) {
		words = append(words, c.choice(param, v, own...))
	}
	return words
}

func (c *Call) FrameNames(param string) (names []string) {
	for _, v := range c.List(param) {
		switch v := v.(type) {
		case *Frame:
			if v.Name == "" {
				c.Bad(param, "a frame without a name", "frames that have one: their parts are known by it")
				return nil
			}
			names = append(names, v.Name)
		case starlark.String:
			names = append(names, string(v))
		default:
			c.Bad(param, Show(v), "")
			return nil
		}
	}
	return names
}

// pair reads two whole numbers, the first not above the second.
func (c *Call) pair(param string) (from, to int) {
	var ns [2]int
	t, ok := c.Value(param).(starlark.Indexable)
	if ok = ok && t.Len() == 2; ok {
		for k := range ns {
			n, isInt := t.Index(k).(starlark.Int)
			v, fits := int64(0), false
			if isInt {
				v, fits = n.Int64()
			}
			ok = ok && fits && v >= 0 && v <= 1<<31-1
			ns[k] = int(v)
		}
	}
	if !ok || ns[0] > ns[1] {
		c.Bad(param, Show(c.Value(param)), fmt.Sprintf("a pair (from, to) of %s, from not above to", c.Spec(param).Unit))
	}
	return ns[0], ns[1]
}

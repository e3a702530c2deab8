package invent

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"
)

// A smaller machine is written down as a function that places a sketch of it and gives its rig. What in the rig is a cell, or a direction, and what
// only looks like one is found out by building the machine twice: what moves with the frame is of the frame.

// writing writes a machine down.
type writing struct {
	*shrinking
	by string
}

// shelved begins what names a part without a cell: those come last in a sketch.
const shelved = "s.parts[-"

// preamble writes down what of the design stays as it is: send and read, and the kinds of one's own in the machine. The fence is down meanwhile, so that
// the session's names are shown as they are.
func (s *shrinking) preamble() trial.Script {
	rest := *s.Design
	rest.Build, rest.Slice = nil, nil
	var own []starlark.Value
	for i := range s.layout.pieces {
		if p := s.layout.pieces[i].Spec; p != nil && !slices.Contains(own, starlark.Value(p.Aside.(*builtins.OwnKind))) {
			own = append(own, p.Aside.(*builtins.OwnKind))
		}
	}
	var beside []trial.Beside
	if len(own) > 0 {
		beside = append(beside, trial.Beside{Name: ownNames, Value: starlark.NewList(own)})
	}
	if s.World != nil {
		beside = append(beside, trial.Beside{Name: worldName, Value: s.World})
	}
	s.fence()
	defer func() { s.fence = trial.FenceIn(s.C.Env, s.Functions()...) }()
	return trial.Preamble(s.C.Env, &rest, beside...)
}

// hasOwn reports whether parts of a kind of one's own stand on a bench.
func (w *writing) hasOwn(b *engine.Bench) bool {
	for id := range b.Parts() {
		if b.KindOf(id) == engine.Told {
			return true
		}
	}
	return false
}

// What the kinds of one's own in a machine, and the world that it was made for, are called in a script.
const (
	ownNames  = "KINDS"
	worldName = "WORLD"
)

// apart is where the machine is built the second time: far away, and turned so that no direction stays.
var apart = engine.Cell{X: 1009, Y: 2003, Z: 3001}

// shifted is a function that builds far away.
type shifted struct{ starlark.Callable }

// CallInternal builds.
func (s *shifted) CallInternal(thread *starlark.Thread, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	f := *args[0].(*builtins.Frame)
	f.At = apart
	return starlark.Call(thread, s.Callable, append(starlark.Tuple{&f}, args[1:]...), kwargs)
}

// design is the design as it is now, and the script that tells it. Where no script can, why says so, and the design is the first one edited.
func (w *writing) design(preamble trial.Script) (d *trial.Design, script, sketch, why string, err error) {
	edited := w.designOf(nil)
	edited.Name = fmt.Sprintf("%s, shrunk by %s", w.Name, w.by)
	edited.Over = starlark.Tuple(w.numbers)
	build, sketch, err := w.function("build", edited, false)
	if err != nil || preamble.Why != "" {
		return edited, "", sketch, preamble.Why, err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# %s.\n\n%s%s", say.OneLine(edited.Name), preamble.Text, build)
	more := ""
	if edited.Slice != nil {
		slice, _, err := w.function("slice", edited, true)
		if err != nil {
			return nil, "", "", "", err
		}
		b.WriteString(slice)
		more = ", slice=slice"
	}
	if w.pitched() {
		more += fmt.Sprintf(", pitch=(%d, %d, %d)", edited.Pitch.X, edited.Pitch.Y, edited.Pitch.Z)
	}
	if w.World != nil {
		more += ", world=" + worldName
	}
	for _, kv := range [][2]string{{"author", w.Author}, {"version", w.Version}, {"note", w.Note}} {
		if kv[1] != "" {
			more += fmt.Sprintf(", %s=%s", kv[0], syntax.Quote(kv[1], false))
		}
	}
	over, err := trial.Literal(starlark.NewList(w.numbers))
	if err != nil {
		return edited, "", sketch, "a number cannot be written down: " + err.Error(), nil
	}
	fmt.Fprintf(&b, "smaller = design(%s, build, send, read, %s%s)\n", syntax.Quote(edited.Name, false), over, more)
	d, err = w.read(b.String())
	return d, b.String(), sketch, "", err
}

// read runs the script in a world of its own and gives the design that it tells.
func (w *writing) read(script string) (*trial.Design, error) {
	return readDesign(w.C, "smaller", script)
}

// readDesign runs a script in a world of its own and gives the design that it tells under a name.
func readDesign(c *builtins.Call, name, script string) (*trial.Design, error) {
	sum := fnv.New32()
	sum.Write([]byte(script))
	made := "shrunk"
	if name == "found" {
		made = name
	}
	file := fmt.Sprintf("%s %08x", made, sum.Sum32())
	e := *c.Env
	e.Bench, e.Out = engine.New(c.Env.Rules()), nil
	thread := &starlark.Thread{Name: file, Load: c.Thread.Load}
	e.Attach(thread)
	names, err := starlark.ExecFileOptions(&syntax.FileOptions{Set: true, While: true, TopLevelControl: true, GlobalReassign: true, Recursion: true}, thread, file, script, builtins.Predeclared())
	if err != nil {
		return nil, fmt.Errorf("the machine cannot be built from its script: %w", err)
	}
	if c.Env.Remember != nil {
		c.Env.Remember(file, script)
	}
	names.Freeze()
	return names[name].(*trial.Design), nil
}

// function writes the function of a design that builds, or that of its slice.
func (w *writing) function(name string, d *trial.Design, slice bool) (text, sketch string, err error) {
	here := *d
	if slice {
		here.Build, here.Sized = d.Slice, false
	}
	there := here
	there.Build = &shifted{here.Build}
	turned := w.Setting
	turned.X, turned.Y = engine.PosY, engine.PosZ
	a, err := w.Crew.Runner(0).Rigged(&here, w.Setting, w.size)
	if err != nil {
		return "", "", err
	}
	b, err := w.Crew.Runner(1).Rigged(&there, turned, w.size)
	if err != nil {
		return "", "", err
	}
	env := *w.C.Env
	env.Bench, env.Width, env.Paint = a.Bench, 100, say.Paint{}
	if sketch, err = picture.MapText(&env); err != nil {
		return "", "", err
	}
	r := &rigText{here: a, there: b, frame: turned.Frame()}
	r.frame.At = apart
	r.cells = w.cells
	rig := ""
	if slice {
		rig, err = r.ports()
	} else {
		rig, err = r.expr(a.Rig, b.Rig)
	}
	if err != nil {
		return "", "", fmt.Errorf("what %s gives cannot be written down: %w", name, err)
	}
	record := ""
	if a.Bench.Recording() == engine.RecordSome {
		record = "    record(\"some\")\n"
	}
	kinds := ""
	if w.hasOwn(a.Bench) {
		kinds = ", kinds=" + ownNames
	}
	keeps := ""
	if strings.Contains(rig, shelved) {
		keeps = "s = "
	}
	return fmt.Sprintf("def %s(f):\n%s    %sf.sketch(r\"\"\"\n%s\n\"\"\"%s)\n    return %s\n\n", name, record, keeps, sketch, kinds, rig), sketch, nil
}

// rigText writes a rig, as it is of a machine built here and there.
type rigText struct {
	here, there *trial.Rigged
	frame       *builtins.Frame      // how it lies there
	cells       map[engine.Cell]bool // takes down what in the rig is a cell
}

// ports are those of a slice that a chain needs.
func (r *rigText) ports() (string, error) {
	var list []string
	for _, name := range []string{"input", "output"} {
		a, ok := r.here.Rig.(starlark.HasAttrs)
		b, also := r.there.Rig.(starlark.HasAttrs)
		if !ok || !also {
			return "", fmt.Errorf("want a struct with .input and .output")
		}
		x, err := a.Attr(name)
		if err != nil || x == nil {
			return "", fmt.Errorf("want a struct with .input and .output")
		}
		y, err := b.Attr(name)
		if err != nil {
			return "", err
		}
		text, err := r.expr(x, y)
		if err != nil {
			return "", err
		}
		list = append(list, name+"="+text)
	}
	return "struct(" + strings.Join(list, ", ") + ")", nil
}

// expr writes a value.
func (r *rigText) expr(a, b starlark.Value) (string, error) {
	if b == nil || a.Type() != b.Type() {
		return "", fmt.Errorf("%s is something else where the machine is laid another way", builtins.Show(a))
	}
	if at, ok := builtins.AsCell(a); ok {
		if to, is := builtins.AsCell(b); is && to == r.frame.Cell(at) {
			r.cells[at] = true
			return fmt.Sprintf("f.cell((%d, %d, %d))", at.X, at.Y, at.Z), nil
		}
	}
	switch a := a.(type) {
	case builtins.Part:
		return r.part(a.ID), nil
	case *observe.Probe:
		return r.probe(a)
	case *starlarkstruct.Struct:
		var list []string
		for _, name := range a.AttrNames() {
			x, _ := a.Attr(name)
			y, err := b.(*starlarkstruct.Struct).Attr(name)
			if err != nil {
				return "", err
			}
			text, err := r.expr(x, y)
			if err != nil {
				return "", fmt.Errorf(".%s: %w", name, err)
			}
			list = append(list, name+"="+text)
		}
		return "struct(" + strings.Join(list, ", ") + ")", nil
	case *starlark.List:
		text, err := r.elements(a, b.(*starlark.List))
		return "[" + text + "]", err
	case starlark.Tuple:
		text, err := r.elements(a, b.(starlark.Tuple))
		if len(a) == 1 {
			text += ","
		}
		return "(" + text + ")", err
	case *starlark.Dict:
		var list []string
		for _, kv := range a.Items() {
			y, _, err := b.(*starlark.Dict).Get(kv[0])
			if err != nil {
				return "", err
			}
			text, err := r.expr(kv[1], y)
			if err != nil {
				return "", err
			}
			key, err := trial.Literal(kv[0])
			if err != nil {
				return "", err
			}
			list = append(list, key+": "+text)
		}
		return "{" + strings.Join(list, ", ") + "}", nil
	}
	if same, err := starlark.Equal(a, b); err != nil || !same {
		if d, ok := engine.ParseDir(builtins.Text(a)); ok && builtins.Text(b) == r.frame.Dir(d).String() {
			return fmt.Sprintf("f.dir(%q)", d), nil
		}
		return "", fmt.Errorf("%s is another where the machine is laid another way", builtins.Show(a))
	}
	return trial.Literal(a)
}

func (r *rigText) elements(a, b starlark.Indexable) (string, error) {
	if a.Len() != b.Len() {
		return "", fmt.Errorf("a list is longer where the machine is laid another way")
	}
	var list []string
	for i := range a.Len() {
		text, err := r.expr(a.Index(i), b.Index(i))
		if err != nil {
			return "", err
		}
		list = append(list, text)
	}
	return strings.Join(list, ", "), nil
}

// part writes a part; one that was left out, and is asked for nothing, is None.
func (r *rigText) part(id engine.ID) string {
	b := r.here.Bench
	at, onLattice := b.CellOf(id)
	switch {
	case !b.Has(id):
		return "None"
	case onLattice:
		return fmt.Sprintf("f.part((%d, %d, %d))", at.X, at.Y, at.Z)
	}
	behind := 0
	for o := range b.Parts() {
		if _, onLattice := b.CellOf(o); !onLattice && o >= id {
			behind++
		}
	}
	return fmt.Sprintf(shelved+"%d]", behind)
}

func (r *rigText) probe(p *observe.Probe) (string, error) {
	t := p.Target()
	if t.ID == 0 {
		r.cells[t.Cell] = true
	}
	of := fmt.Sprintf("f.cell((%d, %d, %d))", t.Cell.X, t.Cell.Y, t.Cell.Z)
	if t.ID != 0 {
		if of = r.part(t.ID); of == "None" {
			return "", fmt.Errorf("a probe watches a part that was left out")
		}
	}
	if name := p.GivenName(); name != "" {
		return fmt.Sprintf("probe(%s, name=%s)", of, syntax.Quote(name, false)), nil
	}
	return "probe(" + of + ")", nil
}

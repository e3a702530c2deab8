package engine_test

import (
	"encoding/hex"
	"fmt"
	"strings"

	"pulsewright/engine"
)

// deed is one thing done to a bench, as data: so that a random bench can be played on the model and on the
// engine, cut down while the two still differ, and printed as Go.
type deed struct {
	do     verb
	part   int // label of the part placed or acted on; 0: the cell
	to     int // patch, unpatch: the end of the cord
	cell   engine.Cell
	spec   engine.Part
	cord   engine.Cord
	firing engine.Firing // At counts from now
	at     int64         // ticks from now, 0: the next
	around bool
	n      int // fill: tokens; turns, steps, ticks: how many
	rules  engine.Rules
}

type verb int

const (
	doPlace verb = iota
	doShelve
	doRemove
	doPatch
	doUnpatch
	doFill
	doSlug   // puts a loose slug, or takes it away
	doNumber // the engine numbers its parts anew: nothing that can be seen changes
	doRules
	doPress
	doRelease
	doFire
	doNudge
	doTurns
	doSteps
	doTicks
	doRun
)

// String writes the deed as Go. Part n is the variable pn.
func (d deed) String() string {
	part := fmt.Sprintf("p%d", d.part)
	target := fmt.Sprintf("engine.Target{Cell: %s}", goCell(d.cell))
	if d.part != 0 {
		target = fmt.Sprintf("engine.Target{ID: %s}", part)
	}
	at := "0"
	if d.at != 0 {
		at = fmt.Sprintf("b.Now().Tick+%d", d.at)
	}
	switch d.do {
	case doPlace:
		return fmt.Sprintf("%s, _ := b.Place(%s, %s)", part, goCell(d.cell), goPart(d.spec))
	case doShelve:
		return fmt.Sprintf("%s, _ := b.Shelve(%s)", part, goPart(d.spec))
	case doRemove:
		return fmt.Sprintf("b.Remove(%s)", part)
	case doPatch:
		return fmt.Sprintf("b.Patch(%s, p%d, engine.Cord{Power: %t, News: %t, Invert: %t})", part, d.to, d.cord.Power, d.cord.News, d.cord.Invert)
	case doUnpatch:
		return fmt.Sprintf("b.Unpatch(%s, p%d)", part, d.to)
	case doFill:
		return fmt.Sprintf("b.Fill(%s, %d)", part, d.n)
	case doSlug:
		return fmt.Sprintf("b.PutSlug(%s, %s)", goCell(d.cell), goSlug(d.spec.Slug))
	case doNumber:
		return "b.Number()"
	case doRules:
		return fmt.Sprintf("b.SetRules(%#v)", d.rules)
	case doPress:
		return fmt.Sprintf("b.Press(%s, %s)", part, at)
	case doRelease:
		return fmt.Sprintf("b.Release(%s, %s)", part, at)
	case doFire:
		f := d.firing
		return fmt.Sprintf("b.Fire(%s, engine.Firing{Steps: %d, Ticks: %d, Late: %t, At: %s})", target, f.Steps, f.Ticks, f.Late, at)
	case doNudge:
		return fmt.Sprintf("b.Nudge(%s, %t, %s)", target, d.around, at)
	case doTurns:
		return fmt.Sprintf("for range %d { b.Turn() }", d.n)
	case doSteps:
		return fmt.Sprintf("for range %d { b.Step(ctx, engine.Budget{}) }", d.n)
	case doTicks:
		return fmt.Sprintf("b.RunTicks(ctx, %d, engine.Budget{})", d.n)
	}
	return "b.Run(ctx, engine.Budget{})"
}

func goCell(c engine.Cell) string {
	return fmt.Sprintf("engine.Cell{X: %d, Y: %d, Z: %d}", c.X, c.Y, c.Z)
}

func goDir(d engine.Dir) string {
	return "engine." + [...]string{"PosX", "NegX", "PosY", "NegY", "PosZ", "NegZ"}[d]
}

func goSlug(s engine.Slug) string {
	return "engine." + [...]string{"NoSlug", "Plug", "Feed", "Bridge"}[s]
}

// goPart writes the fields that are not zero.
func goPart(p engine.Part) string {
	title := func(s string) string { return "engine." + strings.ToUpper(s[:1]) + s[1:] }
	fields := []string{"Kind: " + title(p.Kind.String()), "Facing: " + goDir(p.Facing)}
	if p.Kind == engine.Told {
		spec := fmt.Sprintf("randomKind(%s)", strings.TrimPrefix(p.Spec.Name, "kind "))
		if data, ok := strings.CutPrefix(p.Spec.Name, "bytes "); ok {
			text, _ := hex.DecodeString(data)
			spec = fmt.Sprintf("bytesKind(%q)", text)
		}
		fields = []string{"Kind: engine.Told", "Facing: " + goDir(p.Facing), "Spec: " + spec + ".spec()"}
	}
	if p.Pads != nil {
		var pads []string
		for _, c := range p.Pads {
			pads = append(pads, strings.TrimPrefix(goCell(c), "engine.Cell"))
		}
		fields = append(fields, "Pads: []engine.Cell{"+strings.Join(pads, ", ")+"}")
	}
	if p.FarSet {
		fields = append(fields, "Far: "+goDir(p.Far), "FarSet: true")
	}
	if p.Slug != engine.NoSlug {
		fields = append(fields, "Slug: "+goSlug(p.Slug))
	}
	if p.Grip != engine.NoGrip {
		fields = append(fields, "Grip: engine."+[...]string{"", "Push", "PushBack"}[p.Grip])
	}
	if p.LetGo {
		fields = append(fields, "LetGo: true")
	}
	if p.Kind == engine.Gate {
		fields = append(fields, "Op: "+title(p.Op.String()))
	}
	if p.Mode != engine.Stretch {
		fields = append(fields, "Mode: "+title(p.Mode.String()))
	}
	if p.On {
		fields = append(fields, "On: true")
	}
	if p.Out {
		fields = append(fields, "Out: true")
	}
	for _, f := range []struct {
		name string
		n    int
	}{{"State", p.State}, {"Tokens", p.Tokens}, {"Level", p.Level}, {"Ticks", p.Ticks}, {"Reject", p.Reject}, {"Hold", p.Hold},
		{"Drop", p.Drop}, {"Room", p.Room}, {"Keep", p.Keep}, {"Travel", p.Travel}} {
		if f.n != 0 {
			fields = append(fields, fmt.Sprintf("%s: %d", f.name, f.n))
		}
	}
	return "engine.Part{" + strings.Join(fields, ", ") + "}"
}

// goBench writes a bench and what is done to it as Go.
func goBench(r engine.Rules, deeds []deed) string {
	var dirs []string
	for _, d := range r.Order {
		dirs = append(dirs, goDir(d))
	}
	var w strings.Builder
	fmt.Fprintf(&w, "b := engine.New(engine.Rules{Order: [6]engine.Dir{%s}, Mixed: %t, Seed: %d, News: %d, Reads: %d, Travel: %d, Reach: %d, Run: %d})\n",
		strings.Join(dirs, ", "), r.Mixed, r.Seed, r.News, r.Reads, r.Travel, r.Reach, r.Run)
	for _, d := range deeds {
		fmt.Fprintln(&w, d)
	}
	return w.String()
}

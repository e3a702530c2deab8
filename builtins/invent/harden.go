package invent

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/builtins/survey"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func hardenWords() []builtins.Entry {
	return []builtins.Entry{{Name: "harden", Topic: "invention", Sentence: "Where is a design weak? Breaks one part at a time (it is taken away, it is stuck, it faces another way, it is a tick slower) and tells which faults it does not bear and how each shows where it is read.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "whose build only places; a machine that does what it is for"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to send; None: those of the design"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc}},
		Returns: "a report with .table (.part .fault .borne .sending .read .symptom), .symptoms (a list, each with .number .sending .read and .faults, a list of the faults that show so), .borne and .faults (how many faults are borne, of how many)",
		Example: trial.PlainFunctions + "r = harden(design(\"breakwater\", build, send, read, [1, 5]))\nexpect_equal((r.borne, r.symptoms[1].read), (0, \"None\"))\nprint(r)",
		See:     []string{"spare", "design", "survey"}, Call: harden}}
}

// The faults, as the report heads them.
var faultNames = []string{"removed", "stuck", "turned", "slower"}

// fault is one way to break one part.
type fault struct {
	piece int
	kind  string // one of faultNames
	way   string // more of it: which way it faces
	edit
	how   survey.Ending
	shows int // the number of the symptom, from 1; 0: it is borne
}

func (f *fault) name(x *inventing) string {
	return strings.TrimSpace(x.label(f.piece) + " " + f.kind + " " + f.way)
}

// faults lists all ways to break the machine.
func (x *inventing) faults() (all []fault) {
	for i := range x.layout.pieces {
		p := &x.layout.pieces[i]
		at := p.spot()
		add := func(kind, way string, e func(l *layout, p *piece)) {
			all = append(all, fault{piece: i, kind: kind, way: way, edit: func(l *layout) {
				if k := l.find(at); k >= 0 {
					e(l, &l.pieces[k])
				}
			}})
		}
		add("removed", "", func(_ *layout, p *piece) { p.gone = true })
		if body := stuckBody(p.Part, builtins.Text(builtins.StateValue(p.Kind, x.bench.State(p.was)))); body != nil {
			add("stuck", "", func(l *layout, p *piece) { l.stick(p, body) })
		}
		if p.shelf == 0 && faces(p.Part) {
			for d := engine.PosX; d <= engine.NegZ; d++ {
				if d != p.Facing {
					add("turned", "to "+d.String(), func(_ *layout, p *piece) { p.Facing = d })
				}
			}
		}
		if slow := slower(p.Part, x.Rules.Travel); slow != nil {
			add("slower", "", func(_ *layout, p *piece) { p.Part = *slow })
		}
	}
	return all
}

func faces(p engine.Part) bool {
	if p.Spec != nil {
		return p.Spec.Faces
	}
	return p.Kind.Trait().Faces
}

// slower is a part that takes a tick more for what it does; nil: what it does takes no ticks.
func slower(p engine.Part, travel int) *engine.Part {
	switch p.Kind {
	case engine.Delay, engine.Oneshot, engine.Gate, engine.Chute:
		p.Ticks++
	case engine.Bucket:
		p.Drop++
	case engine.Shuttle:
		if p.Slug == engine.NoSlug && p.Grip == engine.NoGrip {
			return nil
		}
		if p.Travel == 0 {
			p.Travel = travel
		}
		p.Travel++
	default:
		return nil
	}
	return &p
}

// stuckBody is what stands for a part that stays as it was posed for ever: it feeds what that fed, and neither hears nor tells. nil: the kind does
// nothing of itself, or holds tokens. stands is what its state is called.
func stuckBody(p engine.Part, stands string) *engine.Spec {
	d := engine.SpecDef{Name: "stuck " + p.Kind.String(), Letter: '?', Faces: true, States: []string{stands, "never " + stands}, When: []int{engine.NextStep, engine.NextStep}, Then: make([]int, 2),
		Feeds: make([]engine.Feeds, 2), Conducts: make([]bool, 2), Tells: engine.TellsNone, Says: make([]string, 2), Active: make([]bool, 2)}
	feeds := func(on bool, f engine.Feeds) {
		d.Feeds[1] = f // a gate counts as an input what can feed it, whether it does or not
		if d.Active[0] = on; on {
			d.Feeds[0] = f
		}
	}
	switch p.Kind {
	case engine.Link, engine.Shuttle:
		d.Active[0] = p.Out
	case engine.Reed, engine.Lamp:
		d.Active[0] = p.On
	case engine.Delay, engine.Oneshot, engine.Echo, engine.Gate:
		feeds(p.On, engine.Feeds{What: engine.FeedsFront})
	case engine.Meter:
		feeds(p.Level > 0, engine.Feeds{What: engine.FeedsFront, Level: p.Level})
	case engine.Told:
		k := p.Spec
		d.Name, d.Faces = "stuck "+k.Name, k.Faces
		d.Conducts[0] = k.Conducts[p.State]
		for _, f := range k.Feeds {
			if f.What != engine.FeedsNothing {
				d.Feeds[1] = f
			}
		}
		d.Feeds[0], d.Active[0] = k.Feeds[p.State], k.Active[p.State]
	default:
		return nil
	}
	s, err := engine.NewSpec(d, func(engine.Look) (int, error) { return -1, nil })
	if err != nil {
		panic("invent: a part that is stuck: " + err.Error())
	}
	builtins.NewOwnKind(s, nil, nil, "") // so that scripts can look at it
	return s
}

// stick puts a body into the place of a part, with the slug that it held.
func (l *layout) stick(p *piece, body *engine.Spec) {
	if p.Slug != engine.NoSlug && p.shelf == 0 {
		seat := p.cell.Add(p.Facing.Cell())
		if p.Out {
			seat = seat.Add(p.Facing.Cell())
		}
		l.slugs = append(l.slugs, looseSlug{seat, p.Slug})
	}
	for k := range l.cords { // what it hears and reads is all the same to it
		if &l.pieces[l.cords[k].to] == p {
			l.cords[k].gone = true
		}
	}
	p.Part = engine.Part{Kind: engine.Told, Spec: body, Facing: p.Facing, Name: p.Name}
}

func harden(c *builtins.Call) (starlark.Value, error) {
	x := begin(c)
	if x == nil {
		return nil, c.Err
	}
	defer x.Close()
	all := x.faults()
	err := x.Each("harden", len(all), func(r *trial.Runner, i int) (err error) {
		all[i].how, err = x.try(r, all[i].edit)
		return err
	}, nil)
	if err != nil {
		return nil, c.Wrap(err)
	}
	// What cannot stand so is no fault that it could have.
	all = slices.DeleteFunc(all, func(f fault) bool { return !f.how.Holds && f.how.Sent == "" && f.kind == "turned" })
	return x.hardenReport(all), nil
}

// symptom is what a fault shows as where the machine is read.
type symptom struct {
	sent, says string
	faults     []starlark.Value
}

func (s *symptom) String() string {
	if s.sent == "" {
		return s.says
	}
	return s.sent + " reads " + s.says
}

// symptoms numbers what the faults show as, in the order in which the parts were placed.
func (x *inventing) symptoms(all []fault) (shown []*symptom) {
	for i := range all {
		f := &all[i]
		if f.how.Holds {
			continue
		}
		k := slices.IndexFunc(shown, func(s *symptom) bool { return s.sent == f.how.Sent && s.says == f.how.Says })
		if k < 0 {
			k = len(shown)
			shown = append(shown, &symptom{sent: f.how.Sent, says: f.how.Says})
		}
		f.shows = k + 1
		shown[k].faults = append(shown[k].faults, starlark.String(f.name(x)))
	}
	return shown
}

func (x *inventing) hardenReport(all []fault) *builtins.Report {
	shown := x.symptoms(all)
	t := &builtins.Table{Head: []string{"part", "fault", "borne", "sending", "read", "symptom"}}
	matrix := &builtins.Table{Head: append([]string{"part"}, faultNames...)}
	borne := 0
	cells := map[int][]string{} // of a part, by fault
	for i := range all {
		f := &all[i]
		number := starlark.Value(starlark.None)
		if f.how.Holds {
			borne++
		} else {
			number = starlark.MakeInt(f.shows)
		}
		t.Rows = append(t.Rows, []starlark.Value{starlark.String(x.label(f.piece)), starlark.String(strings.TrimSpace(f.kind + " " + f.way)), starlark.Bool(f.how.Holds), orNone(f.how.Sent), orNone(f.how.Says), number})
		row := cells[f.piece]
		if row == nil {
			row = make([]string, len(faultNames))
			cells[f.piece] = row
		}
		at := &row[slices.Index(faultNames, f.kind)]
		sign := "."
		if f.shows > 0 {
			sign = fmt.Sprint(f.shows)
		}
		if !slices.Contains(strings.Fields(*at), sign) {
			*at = strings.TrimSpace(*at + " " + sign)
		}
	}
	for i := range x.layout.pieces {
		row := []starlark.Value{starlark.String(x.label(i))}
		for _, s := range cells[i] {
			if s == "" {
				s = "-"
			}
			row = append(row, starlark.String(s))
		}
		matrix.Rows = append(matrix.Rows, row)
	}
	var list []starlark.Value
	for k, s := range shown {
		list = append(list, builtins.StructOf("symptom", starlark.StringDict{"number": starlark.MakeInt(k + 1), "sending": orNone(s.sent), "read": starlark.String(s.says), "faults": starlark.NewList(s.faults)}))
	}
	d := starlark.StringDict{"table": t, "symptoms": starlark.NewList(list), "borne": starlark.MakeInt(borne), "faults": starlark.MakeInt(len(all))}
	hold.FreezeAll(d)
	return &builtins.Report{Name: "harden", Text: x.hardenText(len(all), borne, matrix, shown), Fields: d}
}

func (x *inventing) hardenText(faults, borne int, matrix *builtins.Table, shown []*symptom) string {
	var b strings.Builder
	fill := func(text string) { b.WriteString(say.Fill(text, "", "", 80) + "\n") }
	fill(fmt.Sprintf("faults of %s: %s", say.OneLine(x.Name), x.sent()))
	fill(fmt.Sprintf("%d of %s borne. removed: taken away; stuck: it stays as it was posed; turned: it faces another of the five ways, where it can; slower: what takes it ticks takes one more", borne, say.Count(faults, "fault")))
	b.WriteString(matrix.String() + "\n")
	fill(". it bears that, - the kind has no such fault, a number: how it shows where the machine is read")
	for k, s := range shown {
		b.WriteString(say.Fill(s.String(), fmt.Sprintf("%3d  ", k+1), "     ", 80) + "\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

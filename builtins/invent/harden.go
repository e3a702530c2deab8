package invent

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

func hardenWords() []builtins.Entry {
	return []builtins.Entry{{Name: "harden", Topic: "invention", Sentence: "Where is a design weak? Breaks one part at a time (it is taken away, it is stuck, it faces another way, it is a tick slower) and tells which faults it does not bear and how each shows where it is read. Loose slugs are left as they are.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "whose build only places; a machine that does what it is for"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Doc: "the numbers to send; None: those of the design"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDoc}},
		Returns: "a report with .table (.part .fault .borne .sending .read .symptom), .symptoms (a list, each with .number .sending .read and .faults, a list of the faults that show so), .borne and .faults (how many faults are borne, of how many)",
		Example: trial.PlainFunctions + "r = harden(design(\"breakwater\", build, send, read, [1, 5]))\nexpect_equal((r.borne, r.symptoms[1].read), (0, \"None\"))\nprint(r)",
		See:     []string{"spare", "design", "survey"}, Call: harden}}
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
	fill(fmt.Sprintf("%d of %s borne. removed: taken away; stuck: it stays as it was posed; turned: it faces another of the five ways, where it can; slower: what takes it ticks takes one more, and a gate that takes none takes one", borne, say.Count(faults, "fault")))
	b.WriteString(matrix.String() + "\n")
	if text := x.left(); text != "" {
		fill(text)
	}
	fill(". it bears that, - no such fault is tried of it, a number: how it shows where the machine is read")
	for k, s := range shown {
		b.WriteString(say.Fill(s.String(), fmt.Sprintf("%3d  ", k+1), "     ", 80) + "\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

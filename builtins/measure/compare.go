package measure

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/lag"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

func compareWords() []builtins.Entry {
	return []builtins.Entry{{Name: "compare", Topic: "experiments", Sentence: "Sets designs side by side: range, smallest number, delays from edge to edge, recovery, parts, volume, news and level changes of a transmission, growth with size, where they hold; the best of those that were measured alike is marked with *.",
		Params: []builtins.Param{
			{Name: "designs", Type: "a list of designs", Doc: "versions of the same thing"},
			{Name: "path", Type: "string", Default: "None", Optional: true, Doc: "also write it, by ending: .csv .json .svg"},
			{Name: "size", Type: "number", Default: "None", Optional: true, Keyword: true, Doc: trial.SizeDocUsual},
			lag.Param, runsParam, builtins.OverParam},
		Returns: "a report with .table (a figure a row, a design a column), .rows (a dict for each design, from the figure to a number or text), .best (a dict from the figure to the names of the best), .notes (what is said below the table); with weights=, .lag says which is the cheapest for which weights: .weights .cheapest (by the weights given, a dict from \"a transmission\" and \"the worst tick\" to names) .ranges (each with .of .count .unit .given .parts, and these with .above .below .cheapest) .pairs (each with .a .b .differ: a costs less where .differ times the weights is below 0) .some (weights by which a design alone is the cheapest) .never",
		Example: trial.PlainFunctions + "a = design(\"line\", build, send, read, [2, 5])\nb = design(\"gate\", lambda f: struct(input=f.cell((0, 0)), out=probe(f.gate((1, 0), \"+x\", \"buf\"))), send, read, [2, 5])\nr = compare([a, b])\nexpect_equal(r.best[\"delay of the rise\"], [\"line\"])\nexpect_equal(r.best[\"parts\"], [\"gate\"])\nprint(r)\nprint(compare([a, b], weights=dict(levels=1, news=3)).lag.cheapest)",
		See:     []string{"recovery", "expandable", "datasheet", "lag_fit"}, Call: compare}}
}

// comparison is designs side by side.
type comparison struct {
	names []string
	heads []string   // of the figures, in order
	cells [][]figure // by figure, then design; a figure without value where a design has none

	unlike bool // the designs have unlike sizes: none is best

	judged    *lag.Verdict // nil: no weights were given, or there is nobody to compare with
	noVerdict string       // or this speaks against one
}

func compare(c *builtins.Call) (starlark.Value, error) {
	path, runs, over := c.Str("path"), c.Int("runs", holdsRuns, 1), c.Over("over")
	c.MayWrite(path, over)
	w := lag.Read(c, "weights")
	var loads []lag.Load
	var cmp comparison
	var all [][]figure
	var machines []*trial.Design
	var sizes []int
	sized := false
	for _, v := range c.List("designs") {
		m := trial.DesignOf(c, "designs", v)
		if c.Err == nil {
			sizes = append(sizes, trial.SizeOf(c, m, "size", 8))
		}
		if c.Err != nil {
			return nil, c.Err
		}
		machines, sized = append(machines, m), sized || m.Sized
	}
	for k, m := range machines {
		fs, load, err := measureAll(c, m, sizes[k], runs, w)
		if err != nil {
			return nil, c.Wrap(err)
		}
		if sized {
			fs = append([]figure{sizeFigure(m, sizes[k])}, fs...)
			cmp.unlike = cmp.unlike || m.Sized != machines[0].Sized || m.Sized && sizes[k] != sizes[0]
		}
		name := m.Name
		if m.Version != "" {
			name += ", version " + m.Version
		}
		for k := 2; slices.Contains(cmp.names, name); k++ {
			name = fmt.Sprintf("%s (%d)", strings.TrimSuffix(name, fmt.Sprintf(" (%d)", k-1)), k)
		}
		cmp.names, loads = append(cmp.names, name), append(loads, load)
		all = append(all, fs)
	}
	if len(all) == 0 && c.Err == nil {
		c.Bad("designs", "an empty list", "at least one design")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	cmp.align(all)
	cmp.verdict(w, loads)
	if path != "" {
		if err := c.ToFile(path, over, "the comparison", cmp.writer(c, path)); err != nil {
			return nil, err
		}
	}
	return cmp.report(), nil
}

// measureAll is all figures of a design, those of a survey too; and what it costs, if that is to be weighed.
func measureAll(c *builtins.Call, d *trial.Design, size int, runs int64, w *lag.Weights) (fs []figure, load lag.Load, err error) {
	preamble := trial.Preamble(c.Env, d)
	defer trial.FenceIn(c.Env, d.Functions()...)()
	l := trial.NewBay(c, d)
	defer l.Close()
	all, err := tryCourse(l, size)
	if err != nil {
		return nil, load, err
	}
	if fs, _, err = figuresOf(l, all, size); err != nil {
		return nil, load, err
	}
	if w != nil {
		var right []starlark.Value
		if load, right, err = loadOf(l, all, size); err != nil {
			return nil, load, err
		}
		fs = append(fs, lagFigures(w, load, right)...)
	}
	held, _, err := holds(l, size, runs, preamble)
	return append(fs, held), load, err
}

func (f figure) head() string {
	if f.unit != "" {
		return f.name + ", " + f.unit
	}
	return f.name
}

// table has a figure a row, so that many figures fit the width of a terminal.
func (cmp *comparison) table() *builtins.Table {
	t := &builtins.Table{Head: append([]string{""}, cmp.names...)}
	for i, head := range cmp.heads {
		row := []starlark.Value{starlark.String(head)}
		best := cmp.best(i)
		for k, f := range cmp.cells[i] {
			s := f.value
			if s == "" {
				s = "-"
			}
			if best[k] {
				s += " *"
			}
			row = append(row, starlark.String(s))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (cmp *comparison) report() *builtins.Report {
	t := cmp.table()
	var rows []starlark.Value
	for k, name := range cmp.names {
		d := starlark.NewDict(len(cmp.heads) + 1)
		d.SetKey(starlark.String("design"), starlark.String(name))
		for i, head := range cmp.heads {
			d.SetKey(starlark.String(head), cmp.cells[i][k].starlark())
		}
		rows = append(rows, d)
	}
	best := starlark.NewDict(len(cmp.heads))
	for i, head := range cmp.heads {
		var names []starlark.Value
		for k, is := range cmp.best(i) {
			if is {
				names = append(names, starlark.String(cmp.names[k]))
			}
		}
		best.SetKey(starlark.String(head), starlark.NewList(names))
	}
	var notes []starlark.Value
	for _, n := range cmp.notes() {
		notes = append(notes, starlark.String(n))
	}
	f := starlark.StringDict{"table": t, "rows": starlark.NewList(rows), "best": best, "notes": starlark.NewList(notes), "lag": starlark.None}
	if cmp.judged != nil {
		f["lag"] = cmp.judged.Value()
	}
	hold.FreezeAll(f)
	return &builtins.Report{Name: "comparison", Text: strings.Join(append([]string{t.String()}, cmp.notes()...), "\n"), Fields: f}
}

// starlark is the figure as a script compares it: a number where the text is one, else the text.
func (f figure) starlark() starlark.Value {
	switch {
	case f.value == "":
		return starlark.None
	case f.exact != nil:
		return lag.Value(f.exact)
	case f.value == starlark.MakeInt64(f.number).String():
		return starlark.MakeInt64(f.number)
	}
	return starlark.String(f.value)
}

// writer writes the comparison by the ending of the path.
func (cmp *comparison) writer(c *builtins.Call, path string) func(io.Writer) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv":
		return cmp.csv
	case ".json":
		return cmp.json
	case ".svg":
		return func(w io.Writer) error {
			_, err := io.WriteString(w, cmp.svg())
			return err
		}
	}
	c.Bad("path", builtins.Show(starlark.String(path)), "a path that ends in .csv, .json or .svg")
	return func(io.Writer) error { return c.Err }
}

// csv has a design a line (RFC 4180); a second column of each figure says whether it is the best.
func (cmp *comparison) csv(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	line := []string{"design"}
	for _, h := range cmp.heads {
		line = append(line, h, "best: "+h)
	}
	out.Write(line)
	for k, name := range cmp.names {
		line := []string{name}
		for i := range cmp.heads {
			mark := ""
			if cmp.best(i)[k] {
				mark = "*"
			}
			line = append(line, cmp.cells[i][k].value, mark)
		}
		out.Write(line)
	}
	out.Flush()
	return out.Error()
}

type figureJSON struct {
	Name   string `json:"name"`
	Unit   string `json:"unit,omitempty"`
	Value  string `json:"value,omitempty"`
	Number *int64 `json:"number,omitempty"`
	Best   bool   `json:"best,omitempty"`
	How    string `json:"how"`
}

func (f figure) json(best bool) figureJSON {
	j := figureJSON{f.name, f.unit, f.value, nil, best, f.how}
	if f.value != "" && !f.bare {
		j.Number = &f.number
	}
	return j
}

func (cmp *comparison) json(w io.Writer) error {
	type row struct {
		Design  string       `json:"design"`
		Figures []figureJSON `json:"figures"`
	}
	rows := []row{}
	for k, name := range cmp.names {
		r := row{Design: name}
		for i := range cmp.heads {
			if f := cmp.cells[i][k]; f.name != "" {
				r.Figures = append(r.Figures, f.json(cmp.best(i)[k]))
			}
		}
		rows = append(rows, r)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(rows)
}

// svg draws the table: the best have a frame and a star.
func (cmp *comparison) svg() string {
	const pad, lineHeight = 16.0, 22.0
	t := cmp.table()
	wide := make([]float64, len(t.Head))
	for j, h := range t.Head {
		wide[j] = float64(say.Columns(h))
		for _, r := range t.Rows {
			wide[j] = max(wide[j], float64(say.Columns(builtins.Text(r[j]))))
		}
		wide[j] = wide[j]*7.3 + 20
	}
	width := 2 * pad
	for _, w := range wide {
		width += w
	}
	notes := cmp.notes()
	for _, n := range notes {
		width = max(width, 2*pad+float64(say.Columns(n))*7.3)
	}
	height := 2*pad + lineHeight*float64(len(t.Rows)+1+len(notes))
	s := picture.NewSVG(width, height, "designs side by side", strings.Join(cmp.names, ", ")+"; a star and a frame mark the best of a row")
	y := pad + lineHeight
	x := pad
	for j, h := range t.Head {
		s.Text("title", x, y, h)
		x += wide[j]
	}
	s.Line("tick", pad, y+6, width-pad, y+6)
	for i, r := range t.Rows {
		y += lineHeight
		x = pad
		best := cmp.best(i)
		for j, v := range r {
			if j > 0 && best[j-1] {
				s.Rect("badge", x-4, y-14, wide[j]-12, 19, 3)
				s.Text("best", x, y, builtins.Text(v))
			} else {
				s.Text("", x, y, builtins.Text(v))
			}
			x += wide[j]
		}
	}
	for _, n := range notes {
		y += lineHeight
		s.Text("dim", pad, y, n)
	}
	return s.Done()
}

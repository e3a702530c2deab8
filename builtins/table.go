package builtins

import (
	"pulsewright/builtins/say"

	"fmt"
	"iter"
	"slices"

	"go.starlark.net/starlark"
)

func tableWords() []Entry {
	return []Entry{
		{Name: "table", Topic: "text and numbers", Sentence: "Arranges rows in columns; print it, or read it with .head .rows.",
			Params: []Param{{Name: "rows", Type: "a list of rows", Doc: "each a list, or a dict from heads to values"},
				{Name: "head", Type: "a list of strings", Default: "None", Optional: true, Doc: "what stands above the columns; of dicts: which to show"},
				{Name: "align", Type: "string", Default: "None", Optional: true, Allowed: say.AlignNames, Doc: "one for all columns or a list; None: numbers right, all else left"}},
			Returns: "a table", Example: "t = table([[1, \"lit\"], [12, \"dark\"]], head=[\"berth\", \"lamp\"])\nexpect_equal(str(t).split(\"\\n\")[2], \"    1  lit\")", See: []string{"pad"}, Call: makeTable},
	}
}

func makeTable(c *Call) (starlark.Value, error) {
	t := &Table{}
	headGiven := c.Has("head")
	if headGiven {
		it, ok := c.Value("head").(starlark.Iterable)
		if !ok {
			return nil, c.Bad("head", Show(c.Value("head")), "")
		}
		for v := range starlark.Elements(it) {
			t.Head = append(t.Head, Text(v))
		}
	}
	it, ok := c.Value("rows").(starlark.Iterable)
	if !ok {
		return nil, c.Bad("rows", Show(c.Value("rows")), "")
	}
	var dicts []*starlark.Dict
	for v := range starlark.Elements(it) {
		if err := c.Env.StoppedAt(len(t.Rows) + len(dicts)); err != nil {
			return nil, c.Wrap(err)
		}
		switch v := v.(type) {
		case *starlark.Dict:
			dicts = append(dicts, v)
			if !headGiven {
				for _, k := range v.Keys() {
					if !slices.Contains(t.Head, Text(k)) {
						t.Head = append(t.Head, Text(k))
					}
				}
			}
		case starlark.Iterable:
			var row []starlark.Value
			for x := range starlark.Elements(v) {
				row = append(row, x)
			}
			t.Rows = append(t.Rows, row)
		default:
			return nil, c.Bad("rows", "a row that is "+Show(v), "rows that are lists or dicts")
		}
	}
	if len(dicts) > 0 && len(t.Rows) > 0 {
		return nil, c.Bad("rows", "lists and dicts mixed", "rows of one sort")
	}
	for _, d := range dicts {
		row := make([]starlark.Value, len(t.Head))
		for _, kv := range d.Items() {
			for i, h := range t.Head {
				if h == Text(kv[0]) {
					row[i] = kv[1]
				}
			}
		}
		for i := range row {
			if row[i] == nil {
				row[i] = starlark.None
			}
		}
		t.Rows = append(t.Rows, row)
	}
	for _, v := range c.List("align") {
		t.Align = append(t.Align, c.choice("align", v))
	}
	if _, one := c.Value("align").(starlark.String); one && c.Err == nil {
		for range t.width() {
			t.Align = append(t.Align, t.Align[0])
		}
	}
	if c.Err == nil && headGiven && len(dicts) == 0 && t.width() > len(t.Head) {
		return nil, c.Fail("a row has %s, but head only %d", say.Count(t.width(), "column"), len(t.Head))
	}
	return t, c.Err
}

// Table is rows of values under heads. Its text is aligned for a terminal; it cannot be changed.
type Table struct {
	Head  []string
	Rows  [][]starlark.Value
	Align []string // by column; "" or missing: numbers right, all else left

	frozen bool
}

var (
	_ starlark.HasAttrs = (*Table)(nil)
	_ starlark.Sequence = (*Table)(nil)
)

func (t *Table) width() int {
	n := len(t.Head)
	for _, r := range t.Rows {
		n = max(n, len(r))
	}
	return n
}

func (t *Table) Type() string          { return "table" }
func (t *Table) Truth() starlark.Bool  { return len(t.Rows) > 0 }
func (t *Table) Hash() (uint32, error) { return 0, fmt.Errorf("a table cannot be a key of a dict") }
func (t *Table) Len() int              { return len(t.Rows) }

// Freeze freezes the values in it.
func (t *Table) Freeze() {
	if t.frozen {
		return
	}
	t.frozen = true
	for _, r := range t.Rows {
		for _, v := range r {
			v.Freeze()
		}
	}
}

// Holds gives the values in it, row by row.
func (t *Table) Holds() iter.Seq[starlark.Value] {
	return func(yield func(starlark.Value) bool) {
		for _, r := range t.Rows {
			for _, v := range r {
				if !yield(v) {
					return
				}
			}
		}
	}
}

// Iterate walks the rows, each a tuple.
func (t *Table) Iterate() starlark.Iterator { return t.rows().Iterate() }

func (t *Table) rows() starlark.Tuple {
	rows := make(starlark.Tuple, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = starlark.Tuple(r)
	}
	return rows
}

// AttrNames lists the attributes.
func (t *Table) AttrNames() []string {
	return []string{"against", "column", "head", "plot", "rows", "save", "sort", "where"}
}

// Attr reads an attribute.
func (t *Table) Attr(name string) (starlark.Value, error) {
	switch name {
	case "head":
		head := make(starlark.Tuple, len(t.Head))
		for i, h := range t.Head {
			head[i] = starlark.String(h)
		}
		return head, nil
	case "rows":
		return t.rows(), nil
	}
	if m := t.method(name); m != nil {
		return m, nil
	}
	return nil, nil
}

package builtins

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"
)

// What can be done with a table. Each gives a new one; the table stays as it is.

var tableMethods = map[string]func(*Table, *starlark.Thread, *starlark.Builtin, starlark.Tuple, []starlark.Tuple) (starlark.Value, error){
	"column":  (*Table).columnCall,
	"against": (*Table).againstCall,
	"plot":    (*Table).plotCall,
	"save":    (*Table).saveCall,
	"sort":    (*Table).sortCall,
	"where":   (*Table).whereCall,
}

// method binds a method of the table; nil if there is none of that name.
func (t *Table) method(name string) starlark.Value {
	m, ok := tableMethods[name]
	if !ok {
		return nil
	}
	return starlark.NewBuiltin("table."+name, func(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		return m(t, thread, b, args, kwargs)
	}).BindReceiver(t)
}

// Index finds a column.
func (t *Table) Index(head string) (int, error) {
	if i := slices.Index(t.Head, head); i >= 0 {
		return i, nil
	}
	return 0, fmt.Errorf("no column %q, want one of %s%s", head, Joined(t.Head), say.DidYouMean(head, t.Head))
}

func Joined(words []string) string { return strings.Join(words, " ") }

// plotCall is the word plot, of this table.
func (t *Table) plotCall(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	return t.word("plot", thread, args, kwargs)
}

// againstCall is the word against, of this table.
func (t *Table) againstCall(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	return t.word("against", thread, args, kwargs)
}

// word calls a word of another room with this table as its first argument.
func (t *Table) word(name string, thread *starlark.Thread, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	e, ok := Lookup(name)
	if !ok {
		return nil, fmt.Errorf("table.%s: there is no such word here", name)
	}
	return starlark.Call(thread, e.builtin, append(starlark.Tuple{t}, args...), kwargs)
}

// field is what stands in a column of a row; short rows end in None.
func field(row []starlark.Value, column int) starlark.Value {
	if column < len(row) {
		return row[column]
	}
	return starlark.None
}

func (t *Table) columnCall(_ *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	var head string
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "head", &head); err != nil {
		return nil, err
	}
	i, err := t.Index(head)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	vs := make([]starlark.Value, len(t.Rows))
	for k, r := range t.Rows {
		vs[k] = field(r, i)
	}
	return starlark.NewList(vs), nil
}

// sortCall sorts by columns, the first one first; equal rows keep their order.
func (t *Table) sortCall(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	reverse := false
	if err := starlark.UnpackArgs(b.Name(), nil, kwargs, "reverse?", &reverse); err != nil {
		return nil, err
	}
	var by []int
	for _, a := range args {
		head, ok := starlark.AsString(a)
		if !ok {
			return nil, fmt.Errorf("%s: got %s, want heads of columns", b.Name(), Show(a))
		}
		i, err := t.Index(head)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.Name(), err)
		}
		by = append(by, i)
	}
	if len(by) == 0 {
		return nil, fmt.Errorf("%s: by which column? one of %s", b.Name(), Joined(t.Head))
	}
	rows, err := SortStable(Of(thread), slices.Clone(t.Rows), func(x, y []starlark.Value) int {
		for _, i := range by {
			if n := CompareValues(field(x, i), field(y, i)); n != 0 {
				if reverse {
					return -n
				}
				return n
			}
		}
		return 0
	})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", b.Name(), err)
	}
	return &Table{Head: t.Head, Rows: rows, Align: t.Align}, nil
}

// SortStable sorts, and equal values keep their order: short runs first, which are merged. Between them it asks whether to stop.
func SortStable[T any](e *Env, vs []T, compare func(x, y T) int) ([]T, error) {
	if e == nil {
		e = new(Env)
	}
	const short = 1 << 10
	for run := range slices.Chunk(vs, short) {
		if err := e.Stopped(); err != nil {
			return nil, err
		}
		slices.SortStableFunc(run, compare)
	}
	to := make([]T, len(vs))
	for long := short; long < len(vs); long *= 2 {
		for low := 0; low < len(vs); low += 2 * long {
			x, middle, high := low, min(low+long, len(vs)), min(low+2*long, len(vs))
			y := middle
			for k := low; k < high; k++ {
				if err := e.StoppedAt(k); err != nil {
					return nil, err
				}
				if y == high || x < middle && compare(vs[x], vs[y]) <= 0 {
					to[k] = vs[x]
					x++
				} else {
					to[k] = vs[y]
					y++
				}
			}
		}
		vs, to = to, vs
	}
	return vs, nil
}

// CompareValues orders values of all types: numbers first, then what else can be compared, then by their text.
func CompareValues(a, b starlark.Value) int {
	if a == starlark.None || b == starlark.None {
		return BoolInt(a == starlark.None) - BoolInt(b == starlark.None)
	}
	if less, err := starlark.Compare(syntax.LT, a, b); err == nil {
		if less {
			return -1
		}
		if equal, err := starlark.Equal(a, b); err == nil && equal {
			return 0
		}
		return 1
	}
	return strings.Compare(a.Type()+" "+Text(a), b.Type()+" "+Text(b))
}

func BoolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// whereCall keeps the rows that a function of a row, or a value for each named column, chooses.
func (t *Table) whereCall(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	var test starlark.Callable
	if err := starlark.UnpackPositionalArgs(b.Name(), args, nil, 0, &test); err != nil {
		return nil, fmt.Errorf("%s: want where(lambda row: ...), or where(head=value)", b.Name())
	}
	at := make([]int, len(kwargs))
	for k, kv := range kwargs {
		i, err := t.Index(string(kv[0].(starlark.String)))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.Name(), err)
		}
		at[k] = i
	}
	out := &Table{Head: t.Head, Align: t.Align}
	for _, r := range t.Rows {
		keep := true
		for k, kv := range kwargs {
			same, err := starlark.Equal(field(r, at[k]), kv[1])
			keep = keep && same && err == nil
		}
		if keep && test != nil {
			v, err := starlark.Call(thread, test, starlark.Tuple{t.row(r)}, nil)
			if err != nil {
				return nil, err
			}
			keep = bool(v.Truth())
		}
		if keep {
			out.Rows = append(out.Rows, r)
		}
	}
	return out, nil
}

// row is a row as a struct of its columns.
func (t *Table) row(r []starlark.Value) starlark.Value {
	d := starlark.StringDict{}
	for i, h := range t.Head {
		d[h] = field(r, i)
	}
	return starlarkstruct.FromStringDict(starlark.String("row"), d)
}

func (t *Table) saveCall(thread *starlark.Thread, b *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	var path string
	var over bool
	if err := starlark.UnpackArgs(b.Name(), args, kwargs, "path", &path, "over?", &over); err != nil {
		return nil, err
	}
	c := &Call{Env: Of(thread), Thread: thread, entry: &Entry{Name: b.Name()}}
	var write func(io.Writer) error
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv":
		write = t.writeCSV
	case ".json":
		write = func(w io.Writer) error { return t.writeJSON(w, false) }
	case ".jsonl":
		write = func(w io.Writer) error { return t.writeJSON(w, true) }
	default:
		return nil, fmt.Errorf("%s: got %q, want a path that ends in .csv, .json or .jsonl; .plot(path=...) writes .svg", b.Name(), path)
	}
	return starlark.None, c.ToFile(path, Over{over, "over"}, "a table of "+say.Count(len(t.Rows), "row"), write)
}

// writeJSON writes objects, one a row, on a line each: a list of them, or JSON Lines.
func (t *Table) writeJSON(w io.Writer, lines bool) error {
	var s strings.Builder
	if !lines {
		s.WriteString("[\n")
	}
	for k, r := range t.Rows {
		s.WriteString("{")
		for i, v := range r {
			if i > 0 {
				s.WriteString(", ")
			}
			head := fmt.Sprint(i + 1)
			if i < len(t.Head) {
				head = t.Head[i]
			}
			if err := hold.CheckDepth(v); err != nil {
				return fmt.Errorf("row %d, %s: %w", k+1, head, err)
			}
			text, err := jsonValue(v, nil)
			if err != nil {
				return fmt.Errorf("row %d, %s: %w", k+1, head, err)
			}
			s.WriteString(jsonText(head) + ": " + text)
		}
		s.WriteString("}")
		if !lines && k < len(t.Rows)-1 {
			s.WriteString(",")
		}
		s.WriteString("\n")
	}
	if !lines {
		s.WriteString("]\n")
	}
	_, err := io.WriteString(w, s.String())
	return err
}

func jsonText(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		return `""`
	}
	return string(b)
}

// jsonValue writes a value; within are the lists it lies in.
func jsonValue(v starlark.Value, within []starlark.Value) (string, error) {
	switch v := v.(type) {
	case starlark.NoneType:
		return "null", nil
	case starlark.Bool:
		return strings.ToLower(v.String()), nil
	case starlark.Int:
		return v.String(), nil
	case starlark.Float:
		if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
			return "null", nil
		}
		return v.String(), nil
	case starlark.Tuple, *starlark.List:
		if list, ok := v.(*starlark.List); ok {
			for _, w := range within {
				if w == list {
					return "", errors.New("a list that holds itself cannot be written down")
				}
			}
			within = append(within, list)
		}
		var s []string
		for x := range starlark.Elements(v.(starlark.Iterable)) {
			text, err := jsonValue(x, within)
			if err != nil {
				return "", err
			}
			s = append(s, text)
		}
		return "[" + strings.Join(s, ", ") + "]", nil
	}
	return jsonText(Text(v)), nil
}

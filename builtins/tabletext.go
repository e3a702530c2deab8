package builtins

import (
	"bytes"
	"strings"

	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// tableText is a table as text, field by field.
type tableText struct {
	head   []string
	fields [][]string
	wide   []int    // columns of a terminal, by column of the table
	align  []string // by column of the table
}

func (t *Table) text() *tableText {
	n := t.width()
	x := &tableText{head: t.Head, fields: make([][]string, len(t.Rows)), wide: make([]int, n), align: make([]string, n)}
	numbers := make([]bool, n) // columns that hold numbers only
	for i := range numbers {
		numbers[i] = len(t.Rows) > 0
	}
	all := make([]string, n*len(t.Rows))
	for i, r := range t.Rows {
		x.fields[i] = all[i*n : (i+1)*n]
		for j, v := range r {
			switch v.(type) {
			case starlark.Int, starlark.Float:
				x.fields[i][j] = Text(v)
				x.wide[j] = max(x.wide[j], len(x.fields[i][j]))
				continue
			case starlark.NoneType:
				continue // an empty field says nothing about its column
			}
			numbers[j] = false
			if x.fields[i][j] = "..."; !hold.Endless(v, t) { // a table may lie in a list that lies in it
				x.fields[i][j] = say.OneLine(Text(v))
			}
			x.wide[j] = max(x.wide[j], say.Columns(x.fields[i][j]))
		}
	}
	for j := range n {
		if j < len(t.Head) {
			x.wide[j] = max(x.wide[j], say.Columns(t.Head[j]))
		}
		switch x.align[j] = "left"; {
		case j < len(t.Align) && t.Align[j] != "":
			x.align[j] = t.Align[j]
		case numbers[j]:
			x.align[j] = "right"
		}
	}
	return x
}

// String writes the table, without a newline at its end.
func (t *Table) String() string {
	x := t.text()
	return x.write(x.all())
}

// Fitted is String for so many columns of a terminal. A table that is wider is folded: what does not fit stands below, behind the first
// column once more. One of up to three rows is turned instead, if then it fits: a row for each column.
func (t *Table) Fitted(room int) string {
	x := t.text()
	if x.span(x.all()) <= room {
		return x.write(x.all())
	}
	if n := len(x.fields); n > 0 && n <= 3 && n < len(x.wide) && len(x.head) == len(x.wide) {
		if turned := x.turned(); turned.span(turned.all()) <= room {
			return turned.write(turned.all())
		}
	}
	var blocks []string
	for next := 1; next < len(x.wide) || len(blocks) == 0; {
		columns := []int{0}
		for next < len(x.wide) && (len(columns) == 1 || x.span(append(columns, next)) <= room) {
			columns = append(columns, next)
			next++
		}
		blocks = append(blocks, x.write(columns))
	}
	return strings.Join(blocks, "\n\n")
}

// all are the columns of a table, from the left.
func (x *tableText) all() []int {
	columns := make([]int, len(x.wide))
	for j := range columns {
		columns[j] = j
	}
	return columns
}

// span is how wide these columns are together.
func (x *tableText) span(columns []int) int {
	n := 2 * max(len(columns)-1, 0)
	for _, j := range columns {
		n += x.wide[j]
	}
	return n
}

// turned is the table with its rows as columns, the heads first.
func (x *tableText) turned() *tableText {
	t := &tableText{fields: make([][]string, len(x.head)), wide: make([]int, len(x.fields)+1), align: make([]string, len(x.fields)+1)}
	for j, h := range x.head {
		t.fields[j] = []string{h}
		for _, row := range x.fields {
			t.fields[j] = append(t.fields[j], row[j])
		}
		for i, f := range t.fields[j] {
			t.wide[i] = max(t.wide[i], say.Columns(f))
		}
	}
	for i := range t.align {
		t.align[i] = "left"
	}
	return t
}

// write writes these columns, without a newline at the end.
func (x *tableText) write(columns []int) string {
	var s strings.Builder
	var out []byte
	line := func(field func(j int) string) {
		out = out[:0]
		for i, j := range columns {
			if i > 0 {
				out = append(out, "  "...)
			}
			out = append(out, say.Align(field(j), x.wide[j], x.align[j], " ")...)
		}
		s.Write(bytes.TrimRight(out, " "))
		s.WriteByte('\n')
	}
	if len(x.head) > 0 {
		line(func(j int) string {
			if j < len(x.head) {
				return x.head[j]
			}
			return ""
		})
		line(func(j int) string { return strings.Repeat("-", x.wide[j]) })
	}
	for _, row := range x.fields {
		line(func(j int) string { return row[j] })
	}
	return strings.TrimSuffix(s.String(), "\n")
}

package builtins_test

import (
	"testing"

	"pulsewright/builtins"

	"go.starlark.net/starlark"
)

// TestTableFitted: a table that is wider than the terminal is folded behind its first column, one of few rows turned; none loses a field.
func TestTableFitted(t *testing.T) {
	row := func(fields ...string) (r []starlark.Value) {
		for _, f := range fields {
			r = append(r, starlark.String(f))
		}
		return r
	}
	designs := &builtins.Table{Head: []string{"", "pull", "push", "reed"}, Rows: [][]starlark.Value{row("parts", "12 *", "14", "20"), row("links", "3", "2 *"), row("cords", "0", "0", "1"), row("keys", "1", "1", "1")}}
	berth := &builtins.Table{Head: []string{"berth", "largest ship"}, Rows: [][]starlark.Value{row("3", "Anna")}}
	for _, c := range []struct {
		t    *builtins.Table
		room int
		want string
	}{
		{designs, 23, designs.String()},
		{designs, 22, "       pull  push\n-----  ----  ----\nparts  12 *  14\nlinks  3     2 *\ncords  0     0\nkeys   1     1\n\n       reed\n-----  ----\nparts  20\nlinks\ncords  1\nkeys   1"},
		{designs, 1, "       pull\n-----  ----\nparts  12 *\nlinks  3\ncords  0\nkeys   1\n\n       push\n-----  ----\nparts  14\nlinks  2 *\ncords  0\nkeys   1\n\n       reed\n-----  ----\nparts  20\nlinks\ncords  1\nkeys   1"},
		{berth, 18, "berth         3\nlargest ship  Anna"},
		{berth, 19, berth.String()},
		{&builtins.Table{}, 10, ""},
		{&builtins.Table{Rows: [][]starlark.Value{row("twelve")}}, 3, "twelve"},
	} {
		if got := c.t.Fitted(c.room); got != c.want {
			t.Errorf("in %d columns:\n%s\nwant\n%s", c.room, got, c.want)
		}
	}
}

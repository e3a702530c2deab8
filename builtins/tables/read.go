package tables

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
)

func tablesWords() []builtins.Entry {
	return []builtins.Entry{
		{Name: "read_table", Topic: "text and numbers", Sentence: "Reads a table that .save wrote: CSV, JSON or JSON Lines, by the ending of the path.",
			Params:  []builtins.Param{{Name: "path", Type: "string", Doc: "a file in the working folder, or \"./...\" beside the script, or \"own/...\" in a folder of your own"}},
			Returns: "a table: in CSV a field without quotes that is a number, True, False or empty is that, or None, all else is text, such as a list; in JSON lists come back as lists, but nan and the infinities as None. Other values were saved as their text",
			Example: "table([[7, 12.5, None, \"7\"]], head=[\"berth\", \"steps\", \"note\", \"key\"]).save(\"monday.csv\")\nt = read_table(\"monday.csv\")\nexpect_equal(t.rows[0], (7, 12.5, None, \"7\"))",
			See:     []string{"table", "against"}, Call: readTable},
		{Name: "against", Topic: "text and numbers", Sentence: "Sets a table against an older one, also as new.against(old): one row for each value that is another now.",
			Params: []builtins.Param{{Name: "new", Type: "table", Doc: "as it is now"}, {Name: "old", Type: "table", Doc: "as it was, such as read_table gives it"},
				{Name: "on", Type: "a head or a list of heads", Default: "None", Optional: true, Doc: "the columns that say which rows belong together; None: the first column"}},
			Returns: "a table of what differs: the columns of on, then column, was and is; no rows if nothing differs",
			Example: "old = table([[1, 30], [2, 31]], head=[\"berth\", \"steps\"])\nnew = table([[2, 32], [1, 30]], head=[\"berth\", \"steps\"])\nexpect_equal(new.against(old).rows, ((2, \"steps\", 31, 32),))",
			See:     []string{"table", "read_table", "differ"}, Call: against},
	}
}

// readTable reads a file whole; the session says which ones may be read, and how large they may be.
func readTable(c *builtins.Call) (starlark.Value, error) {
	path := c.Str("path")
	if c.Err != nil {
		return nil, c.Err
	}
	var read func(*text) (*builtins.Table, error)
	switch strings.ToLower(filepath.Ext(path)) {
	case ".csv":
		read = readCSV
	case ".json":
		read = readJSON
	case ".jsonl":
		read = readLines
	default:
		return nil, c.Bad("path", builtins.Show(starlark.String(path)), "a path that ends in .csv, .json or .jsonl")
	}
	if c.Env.ReadFile == nil {
		return nil, c.Fail("no file can be read here; read the table before, outside the trial")
	}
	all, file, err := c.Env.ReadFile(path)
	if err != nil {
		return nil, c.Fail("%s: %w", builtins.Show(starlark.String(path)), err)
	}
	x := &text{file: filepath.ToSlash(file), all: all, env: c.Env}
	t, err := x.table(read)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return t, nil
}

// text is a file that is being read.
type text struct {
	file string
	all  string
	env  *builtins.Env // whose end ends reading
}

// table reads the file, if it is text at all.
func (x *text) table(read func(*text) (*builtins.Table, error)) (*builtins.Table, error) {
	for i, r := range x.all {
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(x.all[i:]); n == 1 {
				return nil, x.bad(i, "a byte that is no UTF-8, want a text file in UTF-8")
			}
		}
	}
	return read(x)
}

// bad is what is wrong at a byte, with its line and its column in characters, both from 1.
func (x *text) bad(at int, format string, args ...any) error {
	before := x.all[:min(at, len(x.all))]
	line := 1 + strings.Count(before, "\n")
	column := 1 + utf8.RuneCountInString(before[strings.LastIndexByte(before, '\n')+1:])
	return fmt.Errorf("%s:%d:%d: %s", x.file, line, column, fmt.Sprintf(format, args...))
}

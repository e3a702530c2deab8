package tables

import (
	"strings"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// readCSV reads RFC 4180, where quotes mean that a field is text.
func readCSV(x *text) (*builtins.Table, error) {
	t := &builtins.Table{}
	at := 0
	if strings.HasPrefix(x.all, "\ufeff") {
		at = len("\ufeff") // a mark that some programs write in front
	}
	if at == len(x.all) {
		return nil, x.bad(at, "an empty file, want a line of heads")
	}
	heads := 0
	for first := true; at < len(x.all); first = false {
		start := at
		if err := x.env.StoppedAt(len(t.Rows)); err != nil {
			return nil, err
		}
		var row []starlark.Value
		for more := true; more; {
			f, quoted, next, err := x.field(at)
			if err != nil {
				return nil, err
			}
			if quoted {
				f = builtins.Undefused(f)
			}
			var v starlark.Value = starlark.String(f)
			if !first && !quoted {
				v = builtins.Unquoted(f)
			}
			row = append(row, v)
			more = next < len(x.all) && x.all[next] == ','
			at = next + 1
			if !more {
				at = next + len(lineEnd(x.all[next:]))
			}
		}
		if first {
			heads = len(row)
			for _, h := range row {
				t.Head = append(t.Head, string(h.(starlark.String)))
			}
			continue
		}
		if len(row) != heads {
			return nil, x.bad(start, "a row of %s, want %d as in the line of heads", say.Count(len(row), "field"), heads)
		}
		t.Rows = append(t.Rows, row)
	}
	if strings.Join(t.Head, "") == "" {
		t.Head = nil
	}
	return t, nil
}

// lineEnd is the end of the line that stands there.
func lineEnd(s string) string {
	switch {
	case strings.HasPrefix(s, "\r\n"):
		return s[:2]
	case s != "":
		return s[:1]
	}
	return ""
}

// field reads one field from at on, and says where it ends: at a comma, a line's end or the end of the file.
func (x *text) field(at int) (field string, quoted bool, next int, err error) {
	if !strings.HasPrefix(x.all[at:], `"`) {
		next = len(x.all)
		if n := strings.IndexAny(x.all[at:], ",\n"); n >= 0 {
			next = at + n
		}
		if strings.HasPrefix(x.all[next:], "\n") && next > at && x.all[next-1] == '\r' {
			next--
		}
		field = x.all[at:next]
		for i, r := range field {
			switch {
			case r == '"':
				return "", false, 0, x.bad(at+i, "a quote inside a field that does not begin with one, want the whole field in quotes")
			case r < ' ' && r != '\t':
				return "", false, 0, x.bad(at+i, "the control character %U outside quotes, want a text file", r)
			}
		}
		return field, false, next, nil
	}
	var b strings.Builder
	for i := at + 1; ; {
		n := strings.IndexByte(x.all[i:], '"')
		if n < 0 {
			return "", false, 0, x.bad(at, "a quote that is not closed, want another at the field's end")
		}
		b.WriteString(x.all[i : i+n])
		i += n + 1
		if !strings.HasPrefix(x.all[i:], `"`) {
			if rest := x.all[i:]; rest != "" && rest[0] != ',' && rest[0] != '\n' && !strings.HasPrefix(rest, "\r\n") {
				return "", false, 0, x.bad(i, "text behind a closing quote, want a comma or the line's end")
			}
			return b.String(), true, i, nil
		}
		b.WriteByte('"')
		i++
	}
}

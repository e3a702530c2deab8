package builtins

import (
	"bufio"
	"io"
	"math/big"
	"regexp"
	"strconv"
	"strings"

	"go.starlark.net/starlark"
)

// writeCSV writes the table as RFC 4180 has it, with a line of heads. A text that would be taken for something else without quotes has them.
func (t *Table) writeCSV(w io.Writer) error {
	out := bufio.NewWriter(w)
	n := t.width()
	for i := range n {
		head := ""
		if i < len(t.Head) {
			head = Defused(t.Head[i])
		}
		writeField(out, i, head, i < len(t.Head) && head != t.Head[i])
	}
	out.WriteString("\r\n")
	for _, r := range t.Rows {
		for i := range n {
			switch {
			case i >= len(r) || r[i] == starlark.None:
				writeField(out, i, "", false)
			default:
				switch r[i].(type) {
				case starlark.Bool, starlark.Int, starlark.Float:
					writeField(out, i, Text(r[i]), false)
				default:
					safe := Defused(Text(r[i]))
					_, text := Unquoted(safe).(starlark.String)
					writeField(out, i, safe, !text || safe != Text(r[i]))
				}
			}
		}
		out.WriteString("\r\n")
	}
	return out.Flush()
}

// writeField writes one field of a row, in quotes if it must be.
func writeField(out *bufio.Writer, i int, field string, quotes bool) {
	if i > 0 {
		out.WriteByte(',')
	}
	odd := func(r rune) bool { return r < ' ' || r == '"' || r == ',' || r == '\ufeff' }
	if quotes || strings.IndexFunc(field, odd) >= 0 || strings.HasPrefix(field, " ") {
		field = `"` + strings.ReplaceAll(field, `"`, `""`) + `"`
	}
	out.WriteString(field)
}

// formula is how a text begins that a spreadsheet would take for one and compute. A ' in front of it keeps it from that; where there
// is one already another goes in front, so that what is read is what was written.
var formula = regexp.MustCompile("^'*[=+\\-@\t\r]")

// Defused is a text as a spreadsheet may see it.
func Defused(text string) string {
	if formula.MatchString(text) {
		return "'" + text
	}
	return text
}

// Undefused is the text that was written in quotes as field, with what Defused put in front taken off again.
func Undefused(field string) string {
	if strings.HasPrefix(field, "'") && formula.MatchString(field) {
		return field[1:]
	}
	return field
}

var (
	wholeNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)$`)
	otherNumber = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)
)

// Unquoted is what a field of a CSV file without quotes means: None if it is empty, a truth value, a number, or else text. A number with
// needless zeros in front, such as 007, is text.
func Unquoted(field string) starlark.Value {
	switch field {
	case "":
		return starlark.None
	case "True", "False":
		return starlark.Bool(field == "True")
	case "nan", "+inf", "-inf":
		f, _ := strconv.ParseFloat(field, 64)
		return starlark.Float(f)
	}
	switch {
	case wholeNumber.MatchString(field):
		if n, err := strconv.ParseInt(field, 10, 64); err == nil {
			return starlark.MakeInt64(n)
		}
		n, _ := new(big.Int).SetString(field, 10)
		return starlark.MakeBigInt(n)
	case strings.ContainsAny(field, ".eE") && otherNumber.MatchString(field):
		if f, err := strconv.ParseFloat(field, 64); err == nil {
			return starlark.Float(f)
		}
	}
	return starlark.String(field)
}

package lang

import (
	"errors"
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/lang/steplog"
)

// Report prints an error: where, what and why; the source line with a caret; what to write instead;
// then how the script got there, innermost last.
func (s *Session) Report(err error) {
	if err == nil {
		return
	}
	width := 0
	if s.cfg.FoldErr {
		width = s.width()
	}
	fmt.Fprint(s.cfg.Err, formatError(err, s.cfg.ErrPalette, width))
}

// FormatError is the text that Report prints.
func FormatError(err error, pal steplog.Palette) string { return formatError(err, pal, 0) }

// formatError breaks sentences at blanks, if width is not 0; never a line of the script.
func formatError(err error, pal steplog.Palette, width int) string {
	var b strings.Builder
	var e *Error
	if !errors.As(err, &e) {
		e = &Error{Msg: err.Error(), cause: err}
	}
	mistake(&b, e, pal, width)
	if f, ok := failure(err); ok && (f.Got != "" || f.Want != "") {
		fmt.Fprintf(&b, "    got   %s\n    want  %s\n", indentMore(f.Got), indentMore(f.Want))
	}
	if len(e.Frames) > 1 {
		b.WriteString("  by way of\n")
		frames(&b, e.Frames)
	}
	for _, m := range e.More {
		mistake(&b, m, pal, width)
	}
	if e.note != "" {
		b.WriteString("  " + pal.Paint(pal.Faint, say.Printable(e.note)) + "\n")
	}
	return b.String()
}

func mistake(b *strings.Builder, e *Error, pal steplog.Palette, width int) {
	b.WriteString(pal.Paint(pal.Error, say.Fold(say.Printable(e.Error()), width)) + "\n")
	if e.line != "" {
		fmt.Fprintf(b, "    %s\n", say.Printable(e.line))
		if e.Pos.Col > 0 {
			b.WriteString("    " + under(e.line, int(e.Pos.Col)) + pal.Paint(pal.Caret, "^") + "\n")
		}
	}
	if e.Hint != "" {
		hint := strings.TrimPrefix(say.Fold("  "+say.Printable(e.Hint), width), "  ")
		b.WriteString("  " + pal.Paint(pal.Hint, hint) + "\n")
	}
}

// under is the blank space that leads to a column, counted in runes from 1: as wide as what stands above it.
func under(line string, col int) string {
	var b strings.Builder
	n := 1
	for _, r := range line {
		if n >= col {
			break
		}
		n++
		if r == '\t' {
			b.WriteByte('\t')
			continue
		}
		b.WriteString(strings.Repeat(" ", say.Columns(say.Printable(string(r)))))
	}
	return b.String()
}

// maxFrames is how many calls are listed; the rest in the middle is counted.
const maxFrames = 12

func frames(b *strings.Builder, list []Frame) {
	last := list[len(list)-1]
	for i := 0; i < len(list); {
		f, again := list[i], 1
		for i+again < len(list) && list[i+again].Pos == f.Pos && list[i+again].In == f.In {
			again++
		}
		if len(list) > maxFrames && i == maxFrames/2 {
			fmt.Fprintf(b, "    ... %s\n", counted(len(list)-maxFrames, "more call"))
			i = len(list) - maxFrames/2
			continue
		}
		at := "at the top level"
		if f.In != "" {
			at = "in " + f.In
		}
		fmt.Fprintf(b, "    %s %s", where(f.Pos), at)
		if line := strings.TrimSpace(f.line); line != "" && f.Pos != last.Pos {
			fmt.Fprintf(b, ": %s", say.Printable(line))
		}
		if again > 1 {
			fmt.Fprintf(b, " (%d times)", again)
		}
		b.WriteByte('\n')
		i += again
	}
}

func indentMore(s string) string {
	return strings.ReplaceAll(say.Printable(s), "\n", "\n          ")
}

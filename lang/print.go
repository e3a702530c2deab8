package lang

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

// fitted is a value that can be written for so many columns of a terminal: a table, and a report, which may hold one.
type fitted interface {
	starlark.Value
	Fitted(room int) string
}

// fit has print fold tables to the terminal as the shell does where it shows them. One of several lines stands on lines of its own, apart from
// what is printed beside it: its columns would not stand below one another.
func (s *Session) fit(print *starlark.Builtin) *starlark.Builtin {
	return starlark.NewBuiltin(print.Name(), func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
		if builtins.Of(thread).Trial {
			return print.CallInternal(thread, args, kwargs)
		}
		if len(args) == 1 && s.chunk != nil && s.chunk.sole == "print" && s.cfg.Page != nil {
			if v, ok := args[0].(fitted); ok { // all that was typed: shown as if it stood alone
				s.page(s.folded(say.Printable(v.Fitted(s.width()))))
				return starlark.None, nil
			}
		}
		from := 0 // of the arguments that are not printed yet
		for i, a := range args {
			v, ok := a.(fitted)
			if !ok {
				continue
			}
			text := v.Fitted(s.width())
			if !strings.Contains(text, "\n") {
				continue
			}
			if i > from {
				if _, err := print.CallInternal(thread, args[from:i], kwargs); err != nil {
					return nil, err
				}
			}
			if _, err := print.CallInternal(thread, starlark.Tuple{starlark.String(text)}, kwargs); err != nil {
				return nil, err
			}
			from = i + 1
		}
		if from > 0 && from == len(args) {
			return starlark.None, nil
		}
		return print.CallInternal(thread, args[from:], kwargs)
	})
}

// print writes what a script prints.
func (s *Session) print(_ *starlark.Thread, msg string) {
	fmt.Fprintln(s.env.Out, s.folded(say.Printable(msg)))
}

// folded is a text as it is printed: a terminal would break it anywhere.
func (s *Session) folded(text string) string {
	if !s.cfg.Fold {
		return text
	}
	return say.Fold(text, s.width())
}

package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/trial"

	"fmt"

	"go.starlark.net/starlark"
)

// againFor is how the page comes about once more.
func againFor(c *builtins.Call) builtins.Again {
	switch {
	case c.Env.Again != nil:
		return c.Env.Again()
	case c.Env.Trial:
		return builtins.Again{Why: "it was made in a trial"}
	}
	return builtins.Again{Why: "it was made in no session"}
}

// sheetCall is the call that made a page, with all that was left to its defaults; where to it was written is no matter of the page.
func sheetCall(m *trial.Design, size, upto int, runs int64) string {
	at := ""
	if m.Sized {
		at = fmt.Sprintf("size=%d, ", size)
	}
	return fmt.Sprintf("datasheet(%s, %supto=%d, runs=%d)", starlark.String(m.Name), at, upto, runs)
}

// repeat tells how to come by the page again, in sentences and in what is to be typed.
func (s *sheet) repeat(para, typed func(text string)) {
	if a := s.Again; a.Why != "" {
		para("It cannot be repeated by a command: " + a.Why + ".")
	} else {
		para(upperFirst(a.Where) + ":")
		typed(a.Command)
		if a.Script != "" {
			typed(a.Script)
		}
	}
	para(fmt.Sprintf("The call is %s, under the rules above, with seed %d. Unless it says over=True, it writes over no file that is there already.", s.Call, s.Seed))
	para("Every figure on this page was computed as it was made.")
}

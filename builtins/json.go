package builtins

import (
	"fmt"

	"pulsewright/builtins/hold"

	"go.starlark.net/lib/json"
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// JSON is the language's module json, which refuses what lies too deep.
var JSON = func() *starlarkstruct.Module {
	m := &starlarkstruct.Module{Name: json.Module.Name, Members: starlark.StringDict{}}
	for name, v := range json.Module.Members {
		b := v.(*starlark.Builtin)
		m.Members[name] = starlark.NewBuiltin(b.Name(), func(thread *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
			for _, v := range args {
				var until hold.Until
				if e := Of(thread); e != nil {
					until = e.Stopped
				}
				err := until.CheckDepth(v)
				if text, ok := starlark.AsString(v); ok && (name == "decode" || name == "indent") {
					err = checkNesting(text)
				}
				if err != nil {
					return nil, fmt.Errorf("%s: %w", b.Name(), err)
				}
			}
			return b.CallInternal(thread, args, kwargs)
		})
	}
	return m
}()

// checkNesting refuses a JSON text whose arrays and objects lie deeper in one another than hold.Deepest.
func checkNesting(text string) error {
	deep, quoted := 0, false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case quoted && c == '\\':
			i++
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '[' || c == '{':
			if deep++; deep > hold.Deepest {
				return &hold.TooDeep{Type: "text"}
			}
		case c == ']' || c == '}':
			deep--
		}
	}
	return nil
}

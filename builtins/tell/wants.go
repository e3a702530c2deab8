package tell

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// mostLookSteps is how many steps of the interpreter one answer of wants may take.
const mostLookSteps = 100_000

// written writes a kind out as a table: it asks wants for each combination, while no name that it can reach changes.
func written(e *builtins.Env, d engine.SpecDef, wants starlark.Callable) (*engine.Spec, error) {
	open := trial.FenceIn(e, wants)
	defer open()
	return engine.NewSpec(d, question(e, &d, wants))
}

// question is what the engine asks for each combination. The function has no bench: what it gives depends on nothing but what it is asked.
func question(e *builtins.Env, d *engine.SpecDef, fn starlark.Callable) func(engine.Look) (int, error) {
	nowhere := &builtins.Env{Trial: true} // no bench, no folder
	return func(l engine.Look) (int, error) {
		if err := e.Stopped(); err != nil {
			return 0, err
		}
		live := starlark.StringDict{"cords": starlark.MakeInt(l.Cords), "forced": starlark.Bool(l.Forced)}
		for i, v := range []starlark.Value{starlark.Bool(l.Back), starlark.Bool(l.Front), starlark.MakeInt(l.Sides), starlark.Bool(l.FarBack), starlark.Bool(l.FarFront), starlark.MakeInt(l.Around)} {
			if d.Pads>>i&1 != 0 {
				live[builtins.GroupNames[i]] = v
			}
		}
		value := starlarkstruct.FromStringDict(starlark.String("live"), live)
		args := starlark.Tuple{starlark.String(d.States[l.State]), value, starlark.String(l.Told.String())}
		var printed error // it is asked once a combination, not once a look: what it printed would mislead
		thread := &starlark.Thread{Name: "wants", Print: func(t *starlark.Thread, _ string) {
			printed = &starlark.EvalError{Msg: "print: it must be a pure function, asked for each combination before any run; it cannot print", CallStack: t.CallStack()}
			t.Cancel("it prints")
		}}
		thread.SetMaxExecutionSteps(mostLookSteps)
		nowhere.Attach(thread)
		v, err := starlark.Call(thread, fn, args, nil)
		where := fmt.Sprintf("wants(%s, %s, %s)", args[0], value, args[2])
		if printed != nil {
			err = printed
		}
		if err != nil {
			return 0, fmt.Errorf("%s fails: %w%s", where, err, hint(err, d.Faces, live))
		}
		if v == starlark.None {
			return -1, nil
		}
		name, _ := v.(starlark.String)
		if i := slices.Index(d.States, string(name)); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("%s gives %s, want one of its states, %s, or None%s", where, builtins.Show(v), strings.Join(d.States, " "), say.DidYouMean(string(name), d.States))
	}
}

// hint says what to do where a function uses what it cannot have: a bench, a folder, something that changes, a group of cells that its kind does not read.
func hint(err error, faces bool, live starlark.StringDict) string {
	if trial.BeyondTrial(err) || errors.Is(err, builtins.ErrNoBench) || errors.Is(err, builtins.ErrNoFolder) {
		return "; wants must be a pure function of state, live and told, which uses and changes nothing else"
	}
	_, name, ok := strings.Cut(err.Error(), `"live" struct has no .`)
	if !ok {
		return ""
	}
	name, _, _ = strings.Cut(name, " ")
	switch {
	case !slices.Contains(builtins.GroupNames, name):
		return ", want one of " + strings.Join(live.Keys(), " ")
	case faces && name == "around":
		return "; around is for a kind with facing=False, want one of back front sides far_back far_front"
	case !faces && name != "around":
		return fmt.Sprintf("; a kind with facing=False has no %s, it reads around alone: how many of all six are live", name)
	}
	return fmt.Sprintf(", want %q in pads if it is to read that", name)
}

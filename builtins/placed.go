package builtins

import (
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// What a part was placed with, read back: each function gives what its parameter would have to be given to place such a part again, in
// the state it is in now. None stands for what was left to the kind.

func nameOf(p Part) starlark.Value {
	if n := p.Bench.Name(p.ID); n != "" {
		return starlark.String(n)
	}
	return starlark.None
}

func facingOf(p Part) starlark.Value {
	InquiryOf(p.Bench).Want(AskedPlace)
	if t := p.Bench.Thing(p.ID); !t.Shelf && (t.Spec == nil && t.Kind.Trait().Faces || t.Spec != nil && t.Spec.Faces) {
		return starlark.String(t.Facing.String())
	}
	return starlark.None
}

// padsOf are the pads that were given, as offsets; None if the part reads what its kind does.
func padsOf(p Part) starlark.Value {
	InquiryOf(p.Bench).Want(AskedPlace)
	pads := p.Bench.Thing(p.ID).Pads
	if pads == nil {
		return starlark.None
	}
	offsets := make([]starlark.Value, len(pads))
	for i, c := range pads {
		offsets[i] = CellValue(c)
	}
	return starlark.NewList(offsets)
}

// farOf is the way to the far pad, also if it was not given; None if there is none.
func farOf(p Part) starlark.Value {
	InquiryOf(p.Bench).Want(AskedPlace)
	if t := p.Bench.Thing(p.ID); t.FarSet {
		return starlark.String(t.Far.String())
	}
	return starlark.None
}

func isOn(p Part) starlark.Value     { return starlark.Bool(p.now().On) }
func levelOf(p Part) starlark.Value  { return starlark.MakeInt(p.now().Level) }
func tokensOf(p Part) starlark.Value { return starlark.MakeInt(p.now().Tokens) }

func modeOf(p Part) starlark.Value { return starlark.String(p.Bench.Thing(p.ID).Mode.String()) }
func opOf(p Part) starlark.Value   { return starlark.String(p.Bench.Thing(p.ID).Op.String()) }

func slugOf(p Part) starlark.Value {
	if s := p.Bench.Thing(p.ID).Slug; s != engine.NoSlug {
		return starlark.String(s.String())
	}
	return starlark.None
}

// numberOf reads the field that to points out; where the default is None, 0 stands for it.
func numberOf(to func(*engine.Part) *int, byDefault string) func(p Part) starlark.Value {
	return func(p Part) starlark.Value {
		t := p.Bench.Thing(p.ID)
		n := *to(&t.Part)
		if n == 0 && byDefault == "None" {
			return starlark.None
		}
		return starlark.MakeInt(n)
	}
}

// ParamsOf are name and value of each parameter with which a part would have to be placed to stand as it does, but where and its name.
func ParamsOf(p Part) (params []starlark.Tuple) {
	word := wordOf(p.Bench, p.ID)
	for i := range word.Params {
		if q := &word.Params[i]; q.of != nil && q.Name != "name" {
			params = append(params, starlark.Tuple{starlark.String(q.Name), q.of(p)})
		}
	}
	return params
}

package observe

import (
	"slices"

	"pulsewright/builtins"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func recordWords() []builtins.Entry {
	return []builtins.Entry{{Name: "record", Topic: "seeing", Sentence: "Chooses which events are kept from now on: fewer makes long experiments faster. Probes keep working: what they watch is kept.",
		Params: []builtins.Param{
			{Name: "what", Type: "string", Default: `"all"`, Optional: true, Allowed: builtins.RecordNames, Doc: "some: only of parts and cells that a probe watches, or that are in of; none: nothing, but what is watched, by a probe or as one of of, is kept on"},
			{Name: "of", Type: "a list of parts, names or cells", Default: "None", Optional: true, Doc: "with some: these as well"}},
		Example: "w = wire((0, 0), (9, 0))\nrecord(\"some\", of=[(3, 0)])\nfire((0, 0), 2)\nrun()\nexpect_equal(len(events()), 2)",
		See:     []string{"probe", "events", "log"}, Call: record}}
}

func record(c *builtins.Call) (starlark.Value, error) {
	mode := engine.Recording(slices.Index(builtins.RecordNames, c.Choice("what", "all")))
	ids, cells := c.Targets("of")
	if c.Err == nil && c.Has("of") && mode != engine.RecordSome {
		c.Fail(`of goes with "some" only`)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	for _, id := range ids {
		if err := c.Env.Bench.Watch(engine.Target{ID: id}); err != nil {
			return nil, c.Wrap(err)
		}
	}
	for _, cell := range cells {
		if err := c.Env.Bench.Watch(engine.Target{Cell: cell}); err != nil {
			return nil, c.Wrap(err)
		}
	}
	if mode == engine.RecordNone && c.Env.Bench.Watches() {
		mode = engine.RecordSome // a probe that is not told of a pulse would say that there was none
	}
	c.Env.Bench.Record(mode)
	return nil, nil
}

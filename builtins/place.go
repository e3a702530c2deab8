package builtins

import (
	"slices"
	"strconv"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// The parameters that placing words share. Each reads its argument into the part about to be placed.
var (
	atParam = Param{Name: "at", Type: "cell", Optional: true, Doc: "where it goes; leave it out and the part has no cell: it lies on the shelf, and patch() joins it to others"}

	facingParam = Param{Name: "facing", Type: "string", Optional: true, Allowed: dirNames, Doc: "the way its front points; needed unless it lies on the shelf",
		set: func(c *Call, param string) { c.part.Facing = c.Dir(param) }, of: facingOf}

	NameParam = Param{Name: "name", Type: "string", Default: "None", Optional: true, Keyword: true, Doc: "no two parts of a bench share one; a frame puts its name in front",
		set: func(c *Call, param string) {
			if c.part.Name = c.Str(param); c.Err == nil {
				c.CheckName(param, c.part.Name)
			}
		}, of: nameOf}

	onParam = Param{Name: "on", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: it starts on; its neighbours are not told",
		set: func(c *Call, param string) { c.part.On = c.Bool(param, false) }, of: isOn}

	outParam = Param{Name: "out", Type: "bool", Default: "False", Optional: true, Doc: "True: it starts out; its neighbours are not told",
		set: func(c *Call, param string) { c.part.Out = c.Bool(param, false) }, of: isOn}

	levelParam = Param{Name: "level", Type: "number", Default: "0", Optional: true, Keyword: true, Doc: "the level it starts with and keeps until it is told; its neighbours are not told",
		set: func(c *Call, param string) { c.part.Level = c.Small(param, 0, 0) }, of: levelOf}
)

// padParams are the parameters for what a kind reads, as its trait has it.
func padParams(k engine.Kind) (ps []Param) {
	t := k.Trait()
	if t.Given {
		ps = append(ps, Param{Name: "pads", Type: "a list of offsets", Unit: "cells", Default: "None", Optional: true, Keyword: true,
			Doc: "the cells it reads, as offsets from its own; if not given: " + usualPads(t),
			set: func(c *Call, param string) { c.part.Pads = c.offsets(param) }, of: padsOf})
	}
	if t.Far != engine.NoFar {
		ps = append(ps, Param{Name: "far", Type: "string", Default: "None", Optional: true, Keyword: true, Allowed: dirNames,
			Doc: "the way to its far pad, a cell two off that it reads but does not hear; not with pads, which leave it none; if neither is given: " + FarSides[t.Far],
			set: func(c *Call, param string) { c.part.Far, c.part.FarSet = c.Dir(param), true }, of: farOf})
	}
	return ps
}

// tokensParam poses tokens; most is how many fit, 0 where the part says so itself.
func tokensParam(doc string) Param {
	return Param{Name: "tokens", Type: "number", Unit: "tokens", Default: "0", Optional: true, Doc: doc,
		set: func(c *Call, param string) { c.part.Tokens = c.Small(param, 0, 0) }, of: tokensOf}
}

// ticksParam is the ticks that a kind takes, as its trait has them.
func ticksParam(k engine.Kind, doc string) Param {
	usual := k.Trait().Usual
	byDefault := strconv.Itoa(usual)
	return Param{Name: "ticks", Type: "number", Unit: "ticks", Default: byDefault, Optional: true, Doc: doc,
		set: func(c *Call, param string) { c.part.Ticks = c.Small(param, 0, int64(min(usual, 1))) }, of: numberOf(func(p *engine.Part) *int { return &p.Ticks }, byDefault)}
}

// number is any other count, read into the field that to points out.
func number(name, unit, byDefault string, least int64, doc string, to func(*engine.Part) *int) Param {
	return Param{Name: name, Type: "number", Unit: unit, Default: byDefault, Optional: true, Doc: doc,
		set: func(c *Call, param string) { *to(&c.part) = c.Small(param, 0, least) }, of: numberOf(to, byDefault)}
}

// placing is the entry of a word that places one part.
func placing(kind engine.Kind, sentence, example string, see []string, params ...Param) Entry {
	return Entry{Name: kind.String(), Topic: "placing", Sentence: sentence, Example: example, See: see, Returns: "the part",
		Params: slices.Concat([]Param{atParam}, params, padParams(kind), []Param{NameParam}), Call: placeOne, Framed: true, Places: kind}
}

func placeWords() []Entry {
	return []Entry{
		placing(engine.Battery, "Places a battery: it feeds its six neighbours, always.",
			"battery((0, 0))\nw = wire((1, 0))\nexpect_equal(w.state, \"live\")", []string{"key", "wire"}),
		placing(engine.Key, "Places a key: it feeds its six neighbours while pressed, until released or for hold ticks.",
			"k = key((0, 0), hold=3)\npress(k)\nrun()\nexpect_equal(now().tick, 4)", []string{"press", "release", "battery"},
			number("hold", "ticks", "None", 1, "how long it stays on; None: until released", func(p *engine.Part) *int { return &p.Hold }), onParam),
		placing(engine.Jack, "Places a jack: it conducts like a wire as long as no slug sits in its cell.",
			"jack((2, 0))\nshuttle((0, 0), \"+x\", slug=\"plug\", out=True)", []string{"shuttle", "wire"}),
		placing(engine.Lamp, "Places a lamp: lit while a neighbour feeds it; it tells nobody.",
			"k = key((0, 0))\nl = lamp((1, 0))\npress(k)\nrun()\nexpect_equal(l.state, \"lit\")", []string{"key", "probe"},
			onParam),
		placing(engine.Link, "Places a link: a part that goes out while it is fed and home while not, one step after it was told.",
			"k = key((0, 0))\nl = link((1, 0), \"+y\")\npress(k)\nrun()\nexpect_equal(l.state, \"out\")", []string{"shuttle", "armed"},
			facingParam, outParam),
		placing(engine.Shuttle, "Places a shuttle: like a link, but it moves a slug from the seat before it to the seat two cells off; it leaves at once and lands travel ticks later.",
			"s = shuttle((1, 0), \"+x\", slug=\"bridge\")\nkey((0, 0), name=\"k\")\npress(\"k\")\nrun()\nexpect_equal(s.state, \"out\")", []string{"link", "jack", "rules"},
			facingParam, slugParam, outParam,
			number("travel", "ticks", "None", 1, "how long its slug is in transit; None: as rules() has it", func(p *engine.Part) *int { return &p.Travel }), gripParam, letGoParam),
		placing(engine.Delay, "Places a delay: its front repeats its back some ticks later.",
			"k = key((0, 0), hold=5)\nd = delay((1, 0), \"+x\", ticks=3)\nlamp((2, 0), name=\"l\")\npress(k)\nrun()\nexpect_equal(len(probe(d).pulses), 1)", []string{"oneshot", "gate"},
			facingParam,
			ticksParam(engine.Delay, "how much later"),
			Param{Name: "mode", Type: "string", Default: `"stretch"`, Optional: true, Allowed: []string{"stretch", "transport", "inertial"},
				Doc: "what becomes of pulses shorter than ticks: stretched to it, repeated as they are, or swallowed",
				set: func(c *Call, param string) { c.part.Mode, _ = engine.ParseMode(c.Choice(param, "stretch")) }, of: modeOf},
			number("reject", "ticks", "None", 1, "inertial: the longest pulse that is swallowed; None: those shorter than ticks", func(p *engine.Part) *int { return &p.Reject }),
			onParam),
		placing(engine.Oneshot, "Places a oneshot: on at once when told while fed, off again some ticks later.",
			"k = key((0, 0))\no = oneshot((1, 0), \"+x\", ticks=2)\npress(k)\nrun()\nexpect_equal(probe(o).width, (2, 0))", []string{"delay", "echo"},
			facingParam, ticksParam(engine.Oneshot, "how long it stays on"), onParam),
		placing(engine.Echo, "Places an echo: one tick after its back tells it anything, it is on for one tick.",
			"w = wire((0, 0))\ns = echo((1, 0), \"+x\")\nfire(w)\nrun()\nexpect_equal(probe(s).width, (1, 0))", []string{"oneshot"},
			facingParam, onParam),
		placing(engine.Gate, "Places a gate: on or off as its inputs say, one step (or some ticks) after it was told.",
			"k = key((0, 0))\ng = gate((1, 0), \"+x\", \"not\", on=True)\npress(k)\nrun()\nexpect_equal(g.state, \"off\")", []string{"delay", "patch"},
			facingParam,
			Param{Name: "op", Type: "string", Allowed: engine.Ops(), Doc: "what it computes; hold: on when all are live, off when none is; latch: the first sets, the second resets",
				set: func(c *Call, param string) { c.part.Op, _ = engine.ParseOp(c.Choice(param, "buf")) }, of: opOf},
			ticksParam(engine.Gate, "how much later it acts; 0: one step"), onParam),
		placing(engine.Bucket, "Places a bucket: it passes its token to the holder in front when told while fed, and drops it to the one below when it was told while unfed and is still so drop ticks later.",
			"b = bucket((0, 0, 1), \"+x\", tokens=1)\nt = tray((0, 0))\nnudge(b)\nrun()\nexpect_equal(t.tokens, 1)", []string{"tray", "chute", "fill"},
			facingParam, tokensParam("how many it starts with, 0 or 1; its neighbours are not told"),
			number("drop", "ticks", "1", 1, "how long unfed before the token drops", func(p *engine.Part) *int { return &p.Drop })),
		placing(engine.Tray, "Places a tray: it holds tokens and feeds its six neighbours while it has any.",
			"t = tray((0, 0), tokens=2, room=3)\nl = lamp((1, 0))\nnudge(l)\nrun()\nexpect_equal(l.state, \"lit\")", []string{"bucket", "chute", "meter"},
			tokensParam("how many it starts with; its neighbours are not told"),
			number("room", "tokens", "1", 1, "how many it takes", func(p *engine.Part) *int { return &p.Room }),
			number("keep", "ticks", "0", 0, "after how long a token is consumed; 0: never", func(p *engine.Part) *int { return &p.Keep })),
		placing(engine.Chute, "Places a chute: told while unfed, it moves one token from the holder behind it to the one in front some ticks later, and goes on so while it can.",
			"tray((0, 0), tokens=1)\nc = chute((1, 0), \"+x\")\nt = tray((2, 0))\nnudge(c)\nrun()\nexpect_equal(t.tokens, 1)", []string{"tray", "bucket"},
			facingParam, ticksParam(engine.Chute, "how long a move takes")),
		placing(engine.Meter, "Places a meter: it feeds its front with a level, the number of tokens in the holder behind it.",
			"tray((0, 0), tokens=3, room=3)\nm = meter((1, 0), \"+x\")\nwire((2, 0))\nnudge(m)\nrun()\nexpect_equal(m.level, 3)", []string{"tray", "rules"},
			facingParam, levelParam),
	}
}

var slugParam = Param{Name: "slug", Type: "string", Default: "None", Optional: true, Allowed: slugNames,
	Doc: "what it moves: a plug opens a jack, a feed is a battery, a bridge conducts; None: nothing",
	set: func(c *Call, param string) { c.part.Slug, _ = engine.ParseSlug(c.Choice(param, "none")) }, of: slugOf}

// placeOne places the part of a word: on the lattice, or without a cell on the shelf.
func placeOne(c *Call) (starlark.Value, error) {
	e := c.entry
	c.readPart()
	if !c.Has("at") {
		return c.shelve()
	}
	at := c.Cell("at")
	if c.Err != nil {
		return nil, c.Err
	}
	if e.faces() && !c.Has("facing") {
		return nil, c.missing("facing")
	}
	id := c.place(at)
	if c.Err != nil {
		return nil, c.Err
	}
	return Part{c.Env.Bench, id}, nil
}

// faces reports whether what the word places has a facing.
func (e *Entry) faces() bool {
	if e.told != nil {
		return e.told.Spec.Faces
	}
	return e.Places.Trait().Faces
}

// readPart reads every argument that says what to place.
func (c *Call) readPart() {
	e := c.entry
	c.part = engine.Part{Kind: e.Places}
	if e.told != nil {
		c.part.Spec = e.told.Spec
	}
	for i := range e.Params {
		if p := &e.Params[i]; p.set != nil && c.Has(p.Name) {
			p.set(c, p.Name)
			if c.Err != nil {
				return
			}
		}
	}
	if c.part.Reject != 0 {
		ticks := max(c.part.Ticks, 1)
		if c.part.Mode != engine.Inertial {
			c.Fail(`reject is for mode="inertial" only`)
		} else if c.part.Reject > ticks {
			c.Fail("for parameter reject: got %d, want at most ticks, which is %d", c.part.Reject, ticks)
		}
	}
}

// place puts c.part on the lattice.
func (c *Call) place(at engine.Cell) engine.ID {
	if f := c.Frame; f != nil && f.Name != "" {
		if c.part.Name != "" {
			c.part.Name = f.Prefix(c.part.Name)
		} else if auto := f.AutoName(c.kindPlaced(), at); auto != "" {
			if _, taken := c.Env.Bench.Lookup(auto); !taken {
				c.part.Name = auto
			}
		}
	}
	if c.here(); c.Err != nil {
		return 0
	}
	id, err := c.Env.Bench.Place(at, c.part)
	c.Wrap(err)
	return id
}

// here settles of which kind c.part is, if it is one of a script's own.
func (c *Call) here() {
	if c.Err != nil || c.part.Spec == nil {
		return
	}
	spec, err := c.Env.Here(c.part.Spec)
	c.part.Spec = spec
	c.Wrap(err)
}

// kindPlaced is what c.part is called where it has no name: by its kind, also if a word such as lay places it, which is none.
func (c *Call) kindPlaced() string {
	if c.entry.told != nil {
		return c.entry.Name
	}
	return c.part.Kind.String()
}

// shelve puts c.part on the shelf.
func (c *Call) shelve() (starlark.Value, error) {
	for i := range c.entry.Params {
		switch p := &c.entry.Params[i]; {
		case !c.Has(p.Name):
		case p.Name == "facing" || p.Name == "pads" || p.Name == "far":
			return nil, c.Fail("%s is for parts on the lattice, and without at a part lies on the shelf; give at, or leave %s out", p.Name, p.Name)
		}
	}
	if f := c.Frame; f != nil && c.part.Name != "" {
		c.part.Name = f.Prefix(c.part.Name)
	}
	if c.here(); c.Err != nil {
		return nil, c.Err
	}
	id, err := c.Env.Bench.Shelve(c.part)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return Part{c.Env.Bench, id}, nil
}

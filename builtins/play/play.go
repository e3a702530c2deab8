package play

import (
	"errors"

	"pulsewright/builtins"
	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// The paces that a film is played at, in turns a second. Faster, some would see it flash.
const (
	slowest = 0.1
	fastest = 3
)

func playWords() []builtins.Entry {
	of := builtins.Param{Name: "of", Type: "a list of parts, names or cells", Default: "None", Optional: true, Keyword: true, Doc: "with a scope: one lane for each; None: the parts that went on or off"}
	since, until := picture.SinceParam, picture.UntilParam
	since.Doc = "play the past, without letting time pass: " + since.Doc
	until.Doc = "likewise: " + until.Doc
	return []builtins.Entry{{Name: "play", Topic: "seeing", Sentence: "Lets time pass as run does, and walks it through the queue turn by turn: a map or a scope that stands, below it what happens and because of what. Turns in which nothing happened are passed over; if nothing is left to do, the last run is played again.",
		Params: []builtins.Param{
			{Name: "ticks", Type: "number", Unit: "ticks", Default: "None", Optional: true, Doc: "how far to run; None: until nothing is left to do"},
			{Name: "what", Type: "string", Default: `"map"`, Optional: true, Keyword: true, Allowed: []string{"map", "scope"}, Doc: "which picture stands"},
			{Name: "pace", Type: "number", Default: "1", Optional: true, Keyword: true, Doc: "how many turns a second, from 0.1 to 3, to begin with; on a terminal keys change it, which stand below the picture"},
			{Name: "at", Type: "a list of moments", Default: "None", Optional: true, Keyword: true, Doc: "marks, where it stops by itself until it is told to go on: each " + wantMark + "; the first turn at or after that moment is meant"},
			since, until, of, picture.LayerParam, picture.BoxParam, picture.AreaParam, picture.SideParam},
		Example: "k = key((0, 0), name=\"quay\")\nlink((1, 0), \"+y\", name=\"pull\")\nlamp((1, 1), name=\"berth\")\npress(k)\nplay()\nplay(since=1, until=1, what=\"scope\", at=[(1, \"the quay is pressed\")])\nexport(\"play.html\", what=\"play\")",
		See:     []string{"run", "log", "map", "scope", "export"}, Call: play}}
}

func play(c *builtins.Call) (starlark.Value, error) {
	pace := 1.0
	if c.Has("pace") {
		var ok bool
		if pace, ok = starlark.AsFloat(c.Value("pace")); !ok || !(pace >= slowest && pace <= fastest) {
			c.Bad("pace", builtins.Show(c.Value("pace")), "a number of turns a second from 0.1 to 3")
		}
	}
	past := c.Has("since") || c.Has("until")
	if past && c.Has("ticks") {
		c.Fail("parameter ticks goes with what is still to come; since and until play the past")
	}
	if c.Choice("what", "map") == "map" {
		only(c, "of", "scope")
	} else {
		for _, name := range []string{"z", "box", "frame", "side"} {
			only(c, name, "map")
		}
	}
	if c.Err != nil {
		return nil, c.Err
	}
	marks, from := marksOf(c), engine.EventID(0)
	if c.Err != nil {
		return nil, c.Err
	}
	if !past {
		// What is wrong with the picture is found before time passes: afterwards nothing could put it back.
		if picture.PieceOf(c); c.Has("of") && c.Err == nil {
			picture.ScopeFilmOf(c, "of", 1, 0)
		}
		if c.Err != nil {
			return nil, c.Err
		}
		from = engine.EventID(c.Env.Bench.EventCount()) + 1
		if err := runUnseen(c); err != nil {
			return nil, err
		}
	}
	f := filmOf(c, from)
	if f.mark(c, marks); c.Err != nil {
		return nil, c.Err
	}
	switch {
	case len(f.frames) < 2:
		c.Env.Print("nothing has happened that could be played")
	case c.Env.Player != nil && !c.Env.Rereading:
		if err := c.Env.Player(c.Env.Context(), f, pace); err != nil {
			return nil, c.Wrap(err)
		}
		first, last := f.frames[1], f.frames[len(f.frames)-1]
		c.Env.Print("played " + say.Count(len(f.frames)-1, "turn") + ", " + first.at.String() + " to " + last.at.String())
	default:
		if err := f.print(); err != nil {
			return nil, c.Wrap(err)
		}
	}
	if !past {
		c.Env.ShowWatch()
	}
	return nil, nil
}

// only refuses a parameter that goes with the other picture.
func only(c *builtins.Call, name, what string) {
	if c.Has(name) {
		c.Fail("parameter %s goes with what=%q only", name, what)
	}
}

// runUnseen runs while the step log is silent: what happens is told by the player.
func runUnseen(c *builtins.Call) error {
	ticks := c.Int("ticks", -1, 0)
	if c.Err != nil {
		return c.Err
	}
	e, b := c.Env, c.Env.Bench
	shown := e.Log
	e.Log = &builtins.LogOptions{Off: true}
	defer func() {
		if e.Moved != nil {
			e.Moved()
		}
		e.Log = shown
	}()
	limit := engine.Budget{Look: e.Moved}
	if ticks >= 0 {
		return c.Ran(b.RunTicks(e.Context(), ticks, limit))
	}
	err := b.Run(e.Context(), limit)
	var restless *engine.Restless
	if errors.As(err, &restless) {
		return c.Fail("%w; give a number of ticks to play", err)
	}
	return c.Ran(err)
}

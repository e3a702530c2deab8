package builtins

import (
	"fmt"

	"pulsewright/engine"
)

// Verb is a word of the log as sentences have it: it goes on, they go on, it went on. The stories of why and whynot and the step
// log in story mode take their words from here, so that one event is told in the same words everywhere.
type Verb struct{ One, Many, past string }

// Verbs are the verbs of all words of the log.
var Verbs = [...]Verb{
	engine.Forced:   {"is forced live", "are forced live", "was forced live"},
	engine.Freed:    {"is let go", "are let go", "was let go"},
	engine.Nudged:   {"is nudged", "are nudged", "was nudged"},
	engine.On:       {"goes on", "go on", "went on"},
	engine.Off:      {"goes off", "go off", "went off"},
	engine.Out:      {"goes out", "go out", "went out"},
	engine.Home:     {"goes home", "go home", "went home"},
	engine.Lapses:   {"takes its turn and lapses", "take their turns and lapse", "lapsed"},
	engine.Blocked:  {"is blocked: the seat it needs is taken", "are blocked: the seats they need are taken", "was blocked"},
	engine.Lands:    {"sets down its slug", "set down their slugs", "set down its slug"},
	engine.Live:     {"goes live", "go live", "went live"},
	engine.Dead:     {"goes dead", "go dead", "went dead"},
	engine.Lit:      {"lights up", "light up", "lit up"},
	engine.Dark:     {"goes dark", "go dark", "went dark"},
	engine.Passes:   {"passes its token on", "pass their tokens on", "passed its token on"},
	engine.Drops:    {"drops its token", "drop their tokens", "dropped its token"},
	engine.Moves:    {"moves a token", "move tokens", "moved a token"},
	engine.Consumes: {"consumes a token", "consume tokens", "consumed a token"},
	engine.Level:    {"reads", "read", "read"},
	engine.Enters:   {"goes", "go", "went"}, // and its word: see VerbOf
}

// Past says what an event was: lit up, read 3, was pressed.
func Past(b *engine.Bench, e engine.Event) string {
	switch Hand(b, e) {
	case "press":
		return "was pressed"
	case "release":
		return "was released"
	}
	return VerbOf(b, e).past
}

// VerbOf is the verb of an event, with the number or the word that belongs to it.
func VerbOf(b *engine.Bench, e engine.Event) Verb {
	v := Verbs[e.What]
	switch e.What {
	case engine.Level:
		n := fmt.Sprintf(" %d", e.Arg)
		return Verb{v.One + n, v.Many + n, v.past + n}
	case engine.Out, engine.Home:
		switch {
		case e.Arg > 0:
			w := fmt.Sprintf(" with a loose %v", engine.Slug(e.Arg))
			return Verb{v.One + w, v.Many + w, v.past + w}
		case b.KindOf(e.ID) == engine.Shuttle && b.Thing(e.ID).Grip != engine.NoGrip:
			return Verb{v.One + " alone", v.Many + " alone", v.past + " alone"}
		}
	case engine.Lands:
		switch slug := engine.Slug(e.Arg); {
		case slug == engine.NoSlug:
		case e.Step > 0: // by an act
			w := fmt.Sprintf(" go of its loose %v in flight", slug)
			return Verb{"lets" + w, "let" + w, "let" + w}
		default:
			w := fmt.Sprintf(" down a loose %v", slug)
			return Verb{"sets" + w, "set" + w, "set" + w}
		}
	case engine.Enters:
		w := " " + b.Word(e)
		return Verb{v.One + w, v.Many + w, v.past + w}
	}
	return v
}

// PastOf is Past of an event of which no more is known than its line in a log.
func PastOf(e engine.Event) string {
	if e.What == engine.Level {
		return fmt.Sprintf("read %d", e.Arg)
	}
	return Verbs[e.What].past
}

// Hand is the doing of somebody that an event was: press, release, fire, end of fire or nudge; "" if it was none, or if that cannot be told:
// a key that was posed on and comes up after its hold has no cause either.
func Hand(b *engine.Bench, e engine.Event) string {
	if !b.Stimulus(e) {
		return ""
	}
	switch e.What {
	case engine.On:
		return "press"
	case engine.Off:
		if b.Thing(e.ID).Hold > 0 {
			return ""
		}
		return "release"
	case engine.Forced:
		return "fire"
	case engine.Freed:
		return "end of fire"
	}
	return "nudge"
}

// Causeless says what an event without a cause that was nobody's doing comes from, as far as that can be told.
func Causeless(b *engine.Bench, e engine.Event) string {
	switch {
	case b.Recording() != engine.RecordAll:
		return "not recorded"
	case b.KindOf(e.ID) == engine.Key:
		return "release, or posed"
	}
	return "posed"
}

package help

import (
	"slices"
	"strings"
	"testing"

	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// vocabulary is every word that a newcomer meets in reports and pages; help answers each.
const vocabulary = `tick, step, turn, cell, front, back, seat, pad, far pad, told, news, hears, armed, act, lapse, blocked, feed, conductor,
level, live, battery, key, wire, jack, lamp, reed, shuttle, link, slug, plug, bridge, delay, oneshot, echo, gate, bucket, tray, chute,
meter, fire, press, nudge, pulse, width, edge, bench, frame, rig, design, slice, panel, line, repeater, station, receiver, sweep, survey,
recovery, power, pose, shelf, cord, holder, pads, fed, stimulus, pitch, reach, instant, load, struct, print, fail, medium, lib, directions,
data sheet, glossary, token, neighbour, transit, travel, quiet, event, port, orientation, transmission, portion, case, stopped, untold,
dead, seed, fall, verdict, counterexample, gap, residue, latency, mirror, course, gather`

func TestVocabulary(t *testing.T) {
	e := &builtins.Env{}
	words := strings.Split(strings.Join(strings.Fields(vocabulary), " "), ", ")
	for _, word := range append(words, builtins.Rules{}.AttrNames()...) {
		text, err := On(e, starlark.String(word))
		if err != nil {
			t.Error(err)
			continue
		}
		if len(strings.Fields(text)) < 6 {
			t.Errorf("help(%q) says next to nothing: %q", word, text)
		}
	}
	for _, builtin := range []string{"print", "fail"} {
		if text, err := On(e, starlark.Universe[builtin]); err != nil || !strings.Contains(text, builtin+"(") {
			t.Errorf("help(%s): %q, %v", builtin, text, err)
		}
	}
}

// TestGlossary: each term is there once, in one to three short sentences; a misspelt one is suggested.
func TestGlossary(t *testing.T) {
	var names []string
	for _, term := range glossary {
		for _, n := range append([]string{term.word}, term.also...) {
			if slices.Contains(names, n) {
				t.Errorf("%q is there twice", n)
			}
			names = append(names, n)
		}
		if n := len(strings.Fields(term.text)); n > 48 || !strings.HasSuffix(term.text, ".") && !strings.HasSuffix(term.text, ")") {
			t.Errorf("%s: %d words: %q", term.word, n, term.text)
		}
		if strings.HasPrefix(strings.ToLower(term.text), term.word+" is "+term.word) {
			t.Errorf("%s explains itself by itself", term.word)
		}
	}
	if _, err := On((&builtins.Env{}), starlark.String("stimulos")); err == nil || !strings.HasSuffix(err.Error(), "did you mean stimulus?") {
		t.Errorf("got %v", err)
	}
}

// TestGlossaryOfKinds: what the glossary says of kinds of part is what the table of kinds says.
func TestGlossaryOfKinds(t *testing.T) {
	hears, _ := lookupTerm("hears")
	farPad, _ := lookupTerm("far pad")
	_, deaf, _ := strings.Cut(hears.text, ". ")
	for _, k := range engine.Kinds() {
		if said := strings.Contains(strings.ToLower(deaf), k.String()) || k == engine.Battery && strings.Contains(deaf, "Batteries"); said != (k.Trait().Hears == engine.HearsNot) {
			t.Errorf("hears: %v is named as deaf: %v", k, said)
		}
		if said := strings.Contains(farPad.text, k.String()); said != (k.Trait().Far != engine.NoFar) {
			t.Errorf("far pad: %v is named: %v", k, said)
		}
	}
}

// TestHelpOfWordAndTerm: armed is a word of the language and a term.
func TestHelpOfWordAndTerm(t *testing.T) {
	text, err := On((&builtins.Env{}), starlark.String("armed"))
	if err != nil || !strings.Contains(text, "armed()") || !strings.Contains(text, "nothing has told it yet") {
		t.Errorf("%v:\n%s", err, text)
	}
}

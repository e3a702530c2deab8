package measure

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/help"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"
)

// kindSheet is what a page says about a kind of a script's own, so that a reader who has never seen the script can build and check it.
type kindSheet struct {
	Name   string      `json:"name"`
	Facts  [][2]string `json:"facts"`
	Digest string      `json:"digest"`
	Told   string      `json:"told,omitempty"` // the script that tells it
	Why    string      `json:"why,omitempty"`  // why there is none
}

// kindsOf are the kinds of a script's own that stand on a bench, in the order in which they were placed first.
func (s *sheet) kindsOf(e *builtins.Env, b *engine.Bench) {
	stands := make([]bool, len(b.Specs()))
	for id := range b.Parts() {
		if k := b.Spec(id); k != nil {
			stands[slices.Index(b.Specs(), k)] = true
		}
	}
	for i, k := range b.Specs() {
		if !stands[i] {
			continue
		}
		one := kindSheet{Name: k.Name, Digest: fmt.Sprintf("%016x", k.Digest())}
		for _, f := range help.OwnFacts(k) {
			one.Facts = append(one.Facts, [2]string{f.About, f.Text})
		}
		one.Told, one.Why = toldAs(e, k)
		s.Kinds = append(s.Kinds, one)
	}
}

// toldAs is the script that tells a kind, or why there is none.
func toldAs(e *builtins.Env, k *engine.Spec) (text, why string) {
	text, name, err := trial.WrittenAs(e, "", k.Aside.(*builtins.OwnKind))
	if err != nil {
		return "", say.Clean(builtins.Message(err))
	}
	if name != k.Name {
		text += "# a " + k.Name + " is placed by " + name + "\n"
	}
	return strings.TrimSpace(text), ""
}

// text is what the page says of it.
func (k *kindSheet) text() string {
	var b strings.Builder
	wide := len("digest")
	for _, f := range k.Facts {
		wide = max(wide, len(f[0]))
	}
	for _, f := range k.Facts {
		fmt.Fprintf(&b, "%-*s  %s\n", wide, f[0], f[1])
	}
	fmt.Fprintf(&b, "%-*s  %s, of its table and how it reacts: the same for kinds told alike, whatever their words\n\n", wide, "digest", k.Digest)
	if k.Why != "" {
		return b.String() + "The script that tells it cannot be given: " + k.Why + "."
	}
	return b.String() + k.Told
}

// kinds are the section of the page on kinds that are not built in: what each is called, and what is said of it.
func (s *sheet) kinds(title, name func(string), text func(string)) {
	if len(s.Kinds) == 0 {
		return
	}
	title("Parts that are not built in")
	for i := range s.Kinds {
		name(s.Kinds[i].Name)
		text(s.Kinds[i].text())
	}
}

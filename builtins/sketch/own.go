package sketch

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// Parts of kinds of a script's own are drawn by the letter of their kind, a capital while their state is active. What several states share, or several
// of the kinds that a drawing may hold, the legend tells apart: state= and kind=.

// own is what is known of such a part until the legend has been read.
type own struct {
	among   []*engine.Spec // the kinds that it may be of
	capital bool
	state   string // what the legend says; "" if it says nothing
	at      Place  // where it says so
	timer   Place  // where its timer is drawn; the zero value: it is not
}

// ownOf finds the kinds that have a letter, and whether it is a capital.
func (r *reader) ownOf(c rune) (of []*engine.Spec, capital bool) {
	for _, s := range r.kinds {
		if unicode.ToLower(c) == s.Letter {
			of = append(of, s)
		}
	}
	return of, of != nil && unicode.IsUpper(c)
}

// isOwn reports whether a sign may be a user's own mark, here.
func (r *reader) isOwn(c rune) bool {
	of, _ := r.ownOf(c)
	return isOwn(c) && of == nil
}

// ownPart reads a part of a kind of a script's own: its letter, which way it faces if it does, a mark.
func (r *reader) ownPart(t *Tile, of []*engine.Spec, a, m, c rune, place func(int) Place) error {
	facing, faces := facingOf(m)
	kinds := slices.DeleteFunc(slices.Clone(of), func(s *engine.Spec) bool { return s.Faces != faces })
	if len(kinds) == 0 && of[0].Faces {
		return wrong(place(1), "%s which way a %s faces, want %s", standing(m, "does not say"), of[0].Name, facingSigns())
	} else if len(kinds) == 0 || !faces && m != ' ' {
		return wrong(place(1), "%q behind a %s, which has no facing; want a blank", m, of[0].Name)
	}
	t.Kind, t.Facing = engine.Told, facing
	t.own = &own{among: kinds, capital: unicode.IsUpper(a)}
	if c == Timer { // set anew if the part is posed in a state that has one
		t.own.timer = place(2)
		return nil
	}
	return r.mark(t, c, t.own.capital, place(2))
}

// settle finds out the kind and the state of such a part, once the legend has been read.
func (t *Tile) settle() error {
	o := t.own
	if o == nil {
		return nil
	}
	if len(o.among) > 1 {
		return wrong(t.At, "the letter of %s, want the legend to say which: kind=%q", strings.Join(specNames(o.among), " and of "), o.among[0].Name)
	}
	t.Spec = o.among[0]
	fit := func(i int) bool { return t.Spec.Active[i] == o.capital }
	t.State = slices.IndexFunc(t.Spec.Active, func(active bool) bool { return active == o.capital })
	switch {
	case t.State < 0 && o.capital:
		return wrong(t.At, "a capital, but no state of a %s is active; want %c", t.Spec.Name, t.Spec.Letter)
	case t.State < 0:
		return wrong(t.At, "a small letter, but all states of a %s are active; want %c", t.Spec.Name, unicode.ToUpper(t.Spec.Letter))
	}
	if o.state != "" {
		i := slices.Index(t.Spec.States, o.state)
		if i < 0 || !fit(i) {
			var may []string
			for i, s := range t.Spec.States {
				if fit(i) {
					may = append(may, s)
				}
			}
			return wrong(o.at, "for state: got %q of a %s drawn %c, want one of %s%s", o.state, t.Spec.Name, ownSign(t.Spec, o.capital), strings.Join(may, " "), say.DidYouMean(o.state, may))
		}
		t.State = i
	}
	if o.timer != (Place{}) && t.Spec.Then[t.State] == 0 {
		return underWay(Timer, o.timer)
	}
	return nil
}

// tell makes one setting of such a part.
func (o *own) tell(s Setting) error {
	text, ok := s.Val.(string)
	if s.Key == "state" {
		if o.state, o.at = text, s.At; !ok || text == "" {
			return wrong(s.At, "for state: got %s, want one of %s", showVal(s.Val), strings.Join(o.among[0].States, " "))
		}
		return nil
	}
	i := slices.IndexFunc(o.among, func(k *engine.Spec) bool { return k.Name == text })
	if i < 0 {
		names := specNames(o.among)
		return wrong(s.At, "for kind: got %s, want one of %s%s", showVal(s.Val), strings.Join(names, " "), say.DidYouMean(text, names))
	}
	o.among = o.among[i : i+1]
	return nil
}

func specNames(kinds []*engine.Spec) (names []string) {
	for _, k := range kinds {
		names = append(names, k.Name)
	}
	return names
}

// is reports whether a part may be of a kind of that name or letter.
func (o *own) is(sign string) bool {
	return o != nil && slices.ContainsFunc(o.among, func(k *engine.Spec) bool { return k.Name == sign || string(k.Letter) == sign })
}

// ownSign is the letter of a kind, as a capital or not.
func ownSign(s *engine.Spec, capital bool) rune {
	if capital {
		return unicode.ToUpper(s.Letter)
	}
	return s.Letter
}

// kindName is what the kind of a part is called.
func kindName(p *engine.Part) string {
	if p.Spec != nil {
		return p.Spec.Name
	}
	return p.Kind.String()
}

// ownSays writes what the letter of a part does not say: its state.
func (w *writer) ownSays(p *written) (all []string) {
	if slices.Index(p.Spec.Active, p.Spec.Active[p.state.Told]) != p.state.Told {
		all = append(all, fmt.Sprintf("state=%q", p.Spec.States[p.state.Told]))
	}
	return all
}

// occurring notes which kinds of a script's own occur.
func (w *writer) occurring() {
	for _, ids := range [][]engine.ID{w.Parts, w.Shelf} {
		for _, id := range ids {
			if s := w.Bench.Spec(id); s != nil && !slices.Contains(w.specs, s) {
				w.specs = append(w.specs, s)
			}
		}
	}
	slices.SortStableFunc(w.specs, func(a, b *engine.Spec) int { return strings.Compare(a.Name, b.Name) })
}

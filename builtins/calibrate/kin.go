package calibrate

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/builtins/world"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// family is a kind of the user's own of which it is open how it is told: with which number, say. One of its ways holds in the user's world.
type family struct {
	name   string
	kinds  []*builtins.OwnKind
	labels []string // of each way, in words
	rigs   func() []*Rig
}

const (
	mostWays   = 64   // of one kind
	mostAllOut = 1024 // and of all kinds together
)

// way is how the kind is told, by number; nil without a family.
func (f *family) way(i int) *engine.Spec {
	if f == nil {
		return nil
	}
	return f.kinds[i].Spec
}

// conductors is how much reach may matter to one part of the kind: as to so many conductors.
func (f *family) conductors() (n int) {
	for _, k := range f.kinds {
		own := builtins.BoolInt(slices.Contains(k.Spec.Conducts, true))
		for _, x := range k.Spec.Feeds {
			own = max(own, x.Level)
		}
		n = max(n, own)
	}
	return n
}

// ways is in how many ways all kinds of the user's own may be told.
func (sp *space) ways() int {
	n := 1
	for _, f := range sp.kin {
		n *= len(f.kinds)
	}
	return n
}

// way is how one of the kinds is told, where kinds says it of all.
func (sp *space) way(kinds int, of *family) int {
	for _, f := range sp.kin {
		if f == of {
			return kinds % len(f.kinds)
		}
		kinds /= len(f.kinds)
	}
	return 0
}

// toldText says how all kinds are told in a combination.
func (sp *space) toldText(c *combo) string {
	var s strings.Builder
	for _, f := range sp.kin {
		fmt.Fprintf(&s, ", %s %s", f.name, f.labels[sp.way(c.kinds, f)])
	}
	return s.String()
}

// families is all that there is to know of them, as text.
func families(all []*family) string {
	var s strings.Builder
	for _, f := range all {
		for i, k := range f.kinds {
			fmt.Fprintf(&s, "%s %s %x\n", f.name, f.labels[i], k.Spec.Digest())
		}
	}
	return s.String()
}

// firstKinds are the kinds of the first world that is left.
func (c *Calibration) firstKinds() (all []*builtins.OwnKind) {
	for _, f := range c.sp.kin {
		all = append(all, f.kinds[c.sp.way(c.sp.combos[c.left.at[0].combo].kinds, f)])
	}
	return all
}

// kindsOf are those of a world's kinds that the calibration is about.
func (c *Calibration) kindsOf(w builtins.Worldly) (map[*family]*engine.Spec, error) {
	own := map[*family]*engine.Spec{}
	for _, f := range c.sp.kin {
		for _, k := range w.Kinds() {
			if k.Name() == f.name {
				if err := sameFace(k, f.kinds[0]); err != nil {
					return nil, err
				}
				own[f] = k.Spec
			}
		}
		if own[f] == nil {
			return nil, fmt.Errorf("for parameter world: it has no kind %s, want one that has: world(..., kinds=[%s])", f.name, f.name)
		}
	}
	return own, nil
}

// sameFace reports whether two ways to tell a kind can be taken for one another by who looks: they have the same states, and both face some way or none.
func sameFace(a, b *builtins.OwnKind) error {
	if !slices.Equal(a.Spec.States, b.Spec.States) || a.Spec.Faces != b.Spec.Faces {
		return fmt.Errorf("one kind %s has other states than the other, or no facing; want the same in all", a.Name())
	}
	return nil
}

// kin reads the kinds of the user's own: a dict from the name of each to the ways in which it may be told.
func kin(c *builtins.Call) (all []*family) {
	if c.Err != nil || !c.Has("kinds") {
		return nil
	}
	const want = `a dict from the name of each kind to a list of kinds, such as {"sensor": [sensor(n) for n in range(1, 9)]}`
	d, ok := c.Value("kinds").(*starlark.Dict)
	if !ok {
		c.Bad("kinds", builtins.Show(c.Value("kinds")), want)
		return nil
	}
	n := 1
	for _, kv := range d.Items() {
		f := &family{}
		f.name, _ = starlark.AsString(kv[0])
		f.take(c, kv[1], want)
		if c.Err == nil {
			lettersApart(c, f, all)
		}
		if c.Err != nil {
			return nil
		}
		if n *= len(f.kinds); n > mostAllOut {
			c.Fail("for parameter kinds: more than %d ways to tell all of them, want fewer", mostAllOut)
			return nil
		}
		f.rigs = sync.OnceValue(f.search)
		all = append(all, f)
	}
	return all
}

// lettersApart refuses a kind whose letter another one has: they may stand on one map, and are in one world.
func lettersApart(c *builtins.Call, f *family, before []*family) {
	var specs []*engine.Spec
	for _, o := range append(slices.Clone(before), f) {
		for _, k := range o.kinds {
			specs = append(specs, k.Spec)
		}
	}
	for _, s := range specs {
		for _, k := range f.kinds {
			if s.Name != f.name && s.Letter == k.Spec.Letter {
				c.Fail("for parameter kinds: %w", builtins.LetterClash(k.Spec, s, "before it", specs))
				return
			}
		}
	}
}

// take reads the ways of one kind: a list, where each goes by its number, or a dict by what each is called.
func (f *family) take(c *builtins.Call, v starlark.Value, want string) {
	var ways []starlark.Value
	switch v := v.(type) {
	case *starlark.Dict:
		for _, kv := range v.Items() {
			f.labels, ways = append(f.labels, builtins.Text(kv[0])), append(ways, kv[1])
		}
	case starlark.Sequence:
		ways = slices.Collect(starlark.Elements(v))
		for i := range ways {
			f.labels = append(f.labels, fmt.Sprint(i+1))
		}
	case *builtins.OwnKind:
		f.labels, ways = []string{"1"}, []starlark.Value{v}
	default:
		c.Bad("kinds", builtins.Show(v), want)
		return
	}
	if len(ways) == 0 || len(ways) > mostWays {
		c.Fail("for parameter kinds: %s has %s, want 1 to %d", f.name, say.Count(len(ways), "way"), mostWays)
		return
	}
	for _, v := range ways {
		k, ok := v.(*builtins.OwnKind)
		switch {
		case !ok:
			c.Bad("kinds", builtins.Show(v), want)
		case k.Name() != f.name:
			c.Fail("for parameter kinds: a kind %s stands under the name %s, want the same name for both", k.Name(), builtins.Show(starlark.String(f.name)))
		case slices.Contains(ruleNames, f.name):
			c.Fail("for parameter kinds: a kind called %s would be taken for the rule; give it another name", f.name)
		case slices.Contains(new(world.World).AttrNames(), f.name):
			c.Fail("for parameter kinds: a world has a .%s of its own, want another name for the kind %s", f.name, f.name)
		case len(f.kinds) > 0:
			if err := sameFace(k, f.kinds[0]); err != nil {
				c.Fail("for parameter kinds: %w", err)
			}
		}
		if c.Err != nil {
			return
		}
		f.kinds = append(f.kinds, k)
	}
}

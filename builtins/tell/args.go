package tell

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// What kind() is given, read and checked.

// notInWord reports whether a rune may not stand in the name of a kind, of a state or of an event.
func notInWord(r rune) bool {
	return !(r == '_' || r == ' ' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9')
}

func (c *teller) kindName() string {
	name := c.Str("name")
	switch {
	case c.Err != nil:
	case name == "" || strings.ContainsFunc(name, notInWord) || strings.Contains(name, " "):
		c.Bad("name", builtins.Show(c.Value("name")), "a name of letters, digits and _")
	case len(name) > 24:
		c.Bad("name", builtins.Show(c.Value("name")), "at most 24 letters")
	case ofTheLanguage(name):
		c.Fail("for parameter name: %q is a word of the language, and no script could call the kind so, want another name", name)
	default:
		if _, taken := engine.ParseKind(name); taken {
			c.Fail("for parameter name: %q is a built-in kind, want another name", name)
		}
	}
	return name
}

// ofTheLanguage reports whether a script can give nothing that name: a script that is written out, such as a world's, gives it to the kind.
func ofTheLanguage(name string) bool {
	if name[0] >= '0' && name[0] <= '9' {
		return false // it is written under another name
	}
	_, err := new(syntax.FileOptions).Parse("", name+" = 0", 0)
	return err != nil || slices.Contains([]string{"None", "True", "False"}, name)
}

func (c *teller) stateNames() (names []string) {
	list := c.List("states")
	if c.Err == nil && (len(list) < 2 || len(list) > engine.MaxStates) {
		c.Fail("for parameter states: got %d, want 2 to %d", len(list), engine.MaxStates)
		return nil
	}
	for _, v := range list {
		s, ok := v.(starlark.String)
		if !ok || s == "" || strings.ContainsFunc(string(s), notInWord) || string(s) != strings.Join(strings.Fields(string(s)), " ") {
			c.Bad("states", builtins.Show(v), "names of letters, digits and _, with one blank between words")
			return nil
		}
		if slices.Contains(names, string(s)) {
			c.Fail("for parameter states: %q is named twice", string(s))
			return nil
		}
		names = append(names, string(s))
	}
	return names
}

// groups reads a set of groups of cells; far says whether far cells are among those that may be named.
func (c *teller) groups(param string, usual engine.Groups, faces, far bool) (g engine.Groups) {
	if c.Err != nil || !c.Has(param) {
		return usual
	}
	may := []string{"around"}
	if faces {
		may = []string{"back", "front", "sides"}
		if far {
			may = append(may, "far_back", "far_front")
		}
	}
	for _, v := range c.List(param) {
		name, _ := v.(starlark.String)
		if !slices.Contains(may, string(name)) {
			c.Bad(param, builtins.Show(v), "a list of "+strings.Join(may, " ")+say.DidYouMean(string(name), may))
			return 0
		}
		one := engine.Groups(1) << slices.Index(builtins.GroupNames, string(name))
		if g&one != 0 {
			c.Fail("for parameter %s: %q is named twice, want each group once", param, string(name))
			return 0
		}
		g |= one
	}
	return g
}

// stateIn is the number of a state, or c.Err.
func (c *teller) stateIn(param string, v starlark.Value, states []string) int {
	name, _ := v.(starlark.String)
	i := slices.Index(states, string(name))
	if i < 0 {
		c.Bad(param, builtins.Show(v), "one of its states, "+strings.Join(states, " ")+say.DidYouMean(string(name), states))
		return 0
	}
	return i
}

// byState reads a dict by state; take says what is wanted if a value is none of it.
func (c *teller) byState(param string, states []string, take func(i int, v starlark.Value) string) {
	if c.Err != nil || !c.Has(param) {
		return
	}
	d, ok := c.Value(param).(*starlark.Dict)
	if !ok {
		c.Bad(param, builtins.Show(c.Value(param)), "a dict by state")
		return
	}
	for _, kv := range d.Items() {
		i := c.stateIn(param, kv[0], states)
		if c.Err != nil {
			return
		}
		if want := take(i, kv[1]); want != "" {
			c.Fail("for parameter %s: state %q has %s, want %s", param, states[i], builtins.Show(kv[1]), want)
			return
		}
	}
}

func (c *teller) statesIn(param string, states []string, set []bool) {
	for _, v := range c.List(param) {
		i := c.stateIn(param, v, states)
		if c.Err != nil {
			return
		}
		set[i] = true
	}
}

// whenOf reads how the kind reacts, one way or one for each state wanted.
func (c *teller) whenOf(d *engine.SpecDef) {
	const want = `"now", "step" or a number of ticks, at least 1`
	read := func(i int, v starlark.Value) string {
		switch v := v.(type) {
		case starlark.String:
			switch v {
			case "now":
				d.When[i] = engine.Now
				return ""
			case "step":
				d.When[i] = engine.NextStep
				return ""
			}
		case starlark.Int:
			if n, ok := v.Int64(); ok && n >= 1 && n <= engine.MaxTicks {
				d.When[i] = int(n)
				return ""
			}
		}
		return want
	}
	if c.Err != nil || !c.Has("when") {
		return
	}
	if _, by := c.Value("when").(*starlark.Dict); by {
		c.byState("when", d.States, read)
		return
	}
	for i := range d.States {
		if want := read(i, c.Value("when")); want != "" {
			c.Fail("for parameter when: got %s, want %s, or a dict of that by state", builtins.Show(c.Value("when")), want)
			return
		}
	}
}

func (c *teller) feedsOf(d *engine.SpecDef) {
	const want = `"around", "front" or ("front", level)`
	c.byState("feeds", d.States, func(i int, v starlark.Value) string {
		level := 0
		if pair, ok := v.(starlark.Tuple); ok {
			if len(pair) != 2 || pair[0] != starlark.String("front") {
				return want
			}
			n, ok := pair[1].(starlark.Int)
			l, fits := n.Int64()
			if !ok || !fits || l < 1 || l > engine.MaxReach {
				return fmt.Sprintf("a level of 1 to %d", engine.MaxReach)
			}
			level, v = int(l), pair[0]
		}
		switch v {
		case starlark.String("around"):
			d.Feeds[i].What = engine.FeedsAround
		case starlark.String("front"):
			if !d.Faces {
				return `"around": a kind without a facing has no front`
			}
			d.Feeds[i] = engine.Feeds{What: engine.FeedsFront, Level: level}
		default:
			return want
		}
		return ""
	})
}

// kindLetter is the letter of a kind on maps.
func (c *teller) kindLetter(name string) rune {
	if c.Err != nil || !c.Has("letter") {
		if i := strings.IndexAny(strings.ToLower(name), say.OwnLetters); i >= 0 {
			return rune(strings.ToLower(name)[i])
		}
		return 'q'
	}
	letter := c.Str("letter")
	if c.Err == nil && (len(letter) != 1 || !strings.Contains(say.OwnLetters+"q", letter)) {
		c.Bad("letter", builtins.Show(c.Value("letter")), "one that nothing else on a map has: "+strings.Join(strings.Split(say.OwnLetters, ""), " ")+" or q")
		return 0
	}
	return rune(letter[0])
}

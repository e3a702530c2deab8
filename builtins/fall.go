package builtins

import "go.starlark.net/starlark"

func fallWords() []Entry {
	return []Entry{{Name: "falls", Topic: "acting", Sentence: "Chooses how a fired pulse falls where fire does not say: before the first turn of its step, or after the last.",
		Params:  []Param{{Name: "fall", Type: "string", Default: "None", Optional: true, Allowed: []string{"early", "late"}, Doc: "None: only tell how it stands"}},
		Returns: `"early" or "late"`,
		Example: "falls(\"late\")\nb = [link((x, 0), \"+y\") for x in range(3)]\nfire((3, 0), 1)\nexpect_equal(falls(\"early\"), \"early\")",
		See:     []string{"fire", "survey"}, Call: falls}}
}

func falls(c *Call) (starlark.Value, error) {
	c.Env.Inquiry.Want(AskedFall)
	if how := c.Choice("fall", c.Env.fall()); c.Err == nil {
		c.Env.Late = how == "late"
	}
	return starlark.String(c.Env.fall()), c.Err
}

// fall is how a pulse falls where the script does not say.
func (e *Env) fall() string { return fallName(e.Late) }

func fallName(late bool) string {
	if late {
		return "late"
	}
	return "early"
}

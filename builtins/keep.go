package builtins

import "go.starlark.net/starlark"

func keepWords() []Entry {
	return []Entry{
		{Name: "undo", Topic: "keeping", Sentence: "Takes back the last command of the session, names and bench, and says what it was.",
			Example: "undo()", See: []string{"redo", "back"}, Call: undo},
		{Name: "redo", Topic: "keeping", Sentence: "Does again what undo took back.",
			Example: "undo()\nredo()", See: []string{"undo"}, Call: redo},
		{Name: "save", Topic: "keeping", Sentence: "Writes the commands of the session that worked as a script; running it gives the same log.",
			Params: []Param{{Name: "path", Type: "string", Doc: "a file in the working folder, such as \"quay.star\""},
				{Name: "sketch", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: not the commands but the bench as it stands, at rest, as a sketch with its rules; it begins at tick 0"}, OverParam},
			Example: "save(\"quay.star\")", See: []string{"undo", "sketch"}, Call: save},
	}
}

// hosted asks the session, and tells the user what it did.
func (c *Call) hosted(do func(Host) (string, error)) (starlark.Value, error) {
	if c.Env.Host == nil {
		return nil, c.Fail("this works in a session only, not inside a trial")
	}
	done, err := do(c.Env.Host)
	if err != nil {
		return nil, c.Wrap(err)
	}
	if done != "" {
		c.Env.Print(done)
	}
	return nil, nil
}

func undo(c *Call) (starlark.Value, error) { return c.hosted(Host.Undo) }

func redo(c *Call) (starlark.Value, error) { return c.hosted(Host.Redo) }

func save(c *Call) (starlark.Value, error) {
	path := c.Str("path")
	if c.Err == nil && path == "" {
		c.Bad("path", Show(c.Value("path")), "the path of a file in the working folder")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	over, drawn := c.Over("over"), c.Bool("sketch", false)
	if c.Err != nil {
		return nil, c.Err
	}
	return c.hosted(func(h Host) (string, error) { return h.Save(path, over, drawn) })
}

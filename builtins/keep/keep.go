// Package keep are the words that keep what was done or made: undo and redo, save, bundle, and frozen. A session does most of
// the work (builtins.Host); sketched.go writes a bench as it stands. It may use builtins, hold, picture, say, trial and the engine.
package keep

import (
	"go.starlark.net/starlark"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
)

// Words are the words of this package.
func Words() []builtins.Entry {
	return []builtins.Entry{
		{Name: "undo", Topic: "keeping", Sentence: "Takes back the last command of the session, names and bench, and says what it was.",
			Example: "undo()", See: []string{"redo", "back"}, Call: undo},
		{Name: "redo", Topic: "keeping", Sentence: "Does again what undo took back.",
			Example: "undo()\nredo()", See: []string{"undo"}, Call: redo},
		{Name: "bundle", Topic: "keeping", Sentence: "Writes one script with all files that the running script, or the session, loads; it runs alone, and does the same.",
			Params:  []builtins.Param{{Name: "path", Type: "string", Doc: "a file in the working folder, such as \"friend.star\""}, builtins.OverParam},
			Example: "bundle(\"friend.star\")", See: []string{"save", "read_table"}, Call: bundle},
		{Name: "frozen", Topic: "keeping", Sentence: "Freezes values, and all that lies in them: they change no more, as what a loaded file holds.",
			Params:  []builtins.Param{{Name: "values", Type: "value", Variadic: true, Doc: "such as a list; of a function, what it captured"}},
			Returns: "the value; of several, a tuple of them", Example: "berths = frozen([5, 15, 35, 50])\nexpect_error(lambda: berths.append(60), \"frozen\")", See: []string{"bundle"}, Call: frozen},
		{Name: "save", Topic: "keeping", Sentence: "Writes the commands of the session that worked as a script; running it gives the same log.",
			Params: []builtins.Param{{Name: "path", Type: "string", Doc: "a file in the working folder, such as \"quay.star\""},
				{Name: "sketch", Type: "bool", Default: "False", Optional: true, Keyword: true, Doc: "True: not the commands but the bench as it stands, with nothing under way or to come, as a sketch with its rules; it begins at tick 0"}, builtins.OverParam},
			Example: "save(\"quay.star\")", See: []string{"undo", "sketch", "bundle"}, Call: save},
	}
}

// hosted asks the session, and tells the user what it did.
func hosted(c *builtins.Call, do func(builtins.Host) (string, error)) (starlark.Value, error) {
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

func undo(c *builtins.Call) (starlark.Value, error) { return hosted(c, builtins.Host.Undo) }

func redo(c *builtins.Call) (starlark.Value, error) { return hosted(c, builtins.Host.Redo) }

func save(c *builtins.Call) (starlark.Value, error) {
	path, over, drawn := path(c), c.Over("over"), c.Bool("sketch", false)
	if c.Err != nil {
		return nil, c.Err
	}
	return hosted(c, func(h builtins.Host) (string, error) { return h.Save(path, over, drawn) })
}

func bundle(c *builtins.Call) (starlark.Value, error) {
	path, over := path(c), c.Over("over")
	if c.Err != nil {
		return nil, c.Err
	}
	return hosted(c, func(h builtins.Host) (string, error) { return h.Bundle(path, over) })
}

func frozen(c *builtins.Call) (starlark.Value, error) {
	values := c.Rest
	if len(values) == 0 {
		return nil, c.Fail("got nothing to freeze, want a value")
	}
	for _, v := range values {
		if err := hold.Until(c.Env.Stopped).Freeze(v); err != nil {
			return nil, c.Wrap(err)
		}
	}
	if len(values) == 1 {
		return values[0], nil
	}
	return values, nil
}

func path(c *builtins.Call) string {
	path := c.Str("path")
	if c.Err == nil && path == "" {
		c.Bad("path", builtins.Show(c.Value("path")), "the path of a file in the working folder")
	}
	return path
}

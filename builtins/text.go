package builtins

import (
	"pulsewright/builtins/say"

	"go.starlark.net/starlark"
)

func textWords() []Entry {
	return []Entry{
		{Name: "pad", Topic: "text and numbers", Sentence: "Makes a text as wide as a column; what is wider stays as it is.",
			Params: []Param{{Name: "text", Type: "value", Doc: "what to write; numbers stand right unless align says otherwise"},
				{Name: "width", Type: "number", Unit: "columns", Doc: "how wide"},
				{Name: "align", Type: "string", Default: "None", Optional: true, Allowed: say.AlignNames, Doc: "where in the column it stands"},
				{Name: "fill", Type: "string", Default: `" "`, Optional: true, Doc: "one character to fill up with"}},
			Returns: "a string", Example: "expect_equal(pad(\"berth\", 8) + pad(7, 3), \"berth     7\")", See: []string{"table"}, Call: pad},
	}
}

func pad(c *Call) (starlark.Value, error) {
	width := c.Small("width", 0, 0)
	usual := "left"
	switch c.Value("text").(type) {
	case starlark.Int, starlark.Float:
		usual = "right"
	}
	how := c.Choice("align", usual)
	fill := " "
	if c.Has("fill") {
		if fill = c.Str("fill"); c.Err == nil && say.Columns(fill) != 1 {
			c.Bad("fill", Show(c.Value("fill")), "one character, one column wide")
		}
	}
	if c.Err == nil && width > 10_000 {
		c.Bad("width", Show(c.Value("width")), "at most 10000")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return starlark.String(say.Align(Text(c.Value("text")), width, how, fill)), nil
}

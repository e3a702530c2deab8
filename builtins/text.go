package builtins

import (
	"strings"

	"github.com/mattn/go-runewidth"
	"go.starlark.net/starlark"
)

// columns measures text as a terminal does; with its own settings, since those of the package follow the locale.
var columns = &runewidth.Condition{EastAsianWidth: false}

// Columns is how many columns of a terminal a text takes.
func Columns(s string) int { return columns.StringWidth(s) }

// text is a value as print writes it.
func text(v starlark.Value) string {
	if s, ok := starlark.AsString(v); ok {
		return s
	}
	return v.String()
}

var alignNames = []string{"left", "right", "center"}

func align(s string, width int, how, fill string) string {
	room := width - Columns(s)
	if room <= 0 {
		return s
	}
	switch how {
	case "right":
		return strings.Repeat(fill, room) + s
	case "center":
		return strings.Repeat(fill, room/2) + s + strings.Repeat(fill, room-room/2)
	}
	return s + strings.Repeat(fill, room)
}

func textWords() []Entry {
	return []Entry{
		{Name: "pad", Topic: "text and numbers", Sentence: "Makes a text as wide as a column; what is wider stays as it is.",
			Params: []Param{{Name: "text", Type: "value", Doc: "what to write; numbers stand right unless align says otherwise"},
				{Name: "width", Type: "number", Unit: "columns", Doc: "how wide"},
				{Name: "align", Type: "string", Default: "None", Optional: true, Allowed: alignNames, Doc: "where in the column it stands"},
				{Name: "fill", Type: "string", Default: `" "`, Optional: true, Doc: "one character to fill up with"}},
			Returns: "a string", Example: "expect_equal(pad(\"berth\", 8) + pad(7, 3), \"berth     7\")", See: []string{"table"}, call: pad},
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
		if fill = c.Str("fill"); c.Err == nil && Columns(fill) != 1 {
			c.Bad("fill", show(c.Value("fill")), "one character, one column wide")
		}
	}
	if c.Err == nil && width > 10_000 {
		c.Bad("width", show(c.Value("width")), "at most 10000")
	}
	if c.Err != nil {
		return nil, c.Err
	}
	return starlark.String(align(text(c.Value("text")), width, how, fill)), nil
}

package steplog

import "pulsewright/builtins/say"

// Palette holds, for each role, the escape sequence that begins it ("\x1b[1m"). The zero value is plain text.
// Colour never carries meaning alone: the words and the glyphs say the same.
type Palette struct {
	Head   string // headings
	Tick   string // the mark of a new tick, and its number
	Step   string // the number of a new step
	Name   string // a part
	On     string // rises: on out live lit forced
	Off    string // falls: off home dead dark freed
	Move   string // slugs and tokens under way
	Fault  string // lapses, blocked
	Armed  string // what would act if it were told
	Faint  string // what repeats, and causes
	Prompt string
	Block  string // prompt of the further lines of a block
	Error  string
	Caret  string
	Hint   string
}

// Colours is the palette of terminals, with the hues of the pictures in builtins/picture/svg.go: blue for what is live, out, on or lit, grey for what
// is not, a rusty orange for what is armed; people who do not tell red from green tell them apart. Weight and underlining for the rest. All can be read from the back
// of a room, on a black ground and on a white one: they are the few hues of terminals that stand out by 4.5 to 1 on both (TestContrast).
func Colours() Palette {
	const bold, faint, under, grey, blue, orange = "\x1b[1m", "\x1b[38;5;243m", "\x1b[1;4m", "\x1b[38;5;243m", "\x1b[38;5;63m", "\x1b[1;38;5;131m"
	return Palette{
		Head: bold, Tick: bold, Step: bold, Name: "", On: blue, Off: grey, Move: "\x1b[3m", Fault: under, Armed: orange, Faint: faint,
		Prompt: blue, Block: faint, Error: bold, Caret: orange, Hint: "\x1b[3m",
	}
}

const reset = "\x1b[0m"

// Paint dresses s. Pad first, paint after.
func (p Palette) Paint(sgr, s string) string {
	if sgr == "" || s == "" {
		return s
	}
	return sgr + s + reset
}

// Styles is the palette as the builtins use it.
func (p Palette) Styles() (b say.Paint) {
	b[say.Title] = p.Head
	b[say.Word] = p.Head
	b[say.Name] = p.Name
	b[say.Number] = p.Step
	b[say.Dim] = p.Faint
	b[say.Warn] = p.Fault
	b[say.Rise] = p.On
	b[say.Fall] = p.Off
	b[say.Armed] = p.Armed
	return b
}

// glyphs are the signs that are not letters. Each has a stand-in for terminals without Unicode; none is
// of ambiguous width.
type glyphs struct {
	mark                     string // a new tick
	rise, fall, move         string
	lapse, block, nudge, set string
	dots                     string
}

var (
	unicodeGlyphs = glyphs{mark: "»", rise: "⇡", fall: "⇣", move: "⇢", lapse: "∅", block: "✗", nudge: "*", set: "=", dots: "⋯"}
	asciiGlyphs   = glyphs{mark: ">", rise: "+", fall: "-", move: ":", lapse: "%", block: "x", nudge: "*", set: "=", dots: ".."}
)

func glyphsFor(ascii bool) glyphs {
	if ascii {
		return asciiGlyphs
	}
	return unicodeGlyphs
}

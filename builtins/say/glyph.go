package say

import (
	"strings"
)

// Glyph is a sign that pictures in the terminal are drawn with. All of them take one column in every terminal.
type Glyph int

const (
	GLow      Glyph = iota // a lane that is off
	GHigh                  // and on
	GRise                  // goes on at this step; the edge is the left rim of the column
	GFall                  // goes off at this step
	GZero                  // goes on and off (or off and on) within this step
	GQuietLow              // the lane where time is folded
	GQuietHigh
	GValue   // the level becomes another at this step
	GHold    // and keeps that level
	GTick    // in front of a tick's number
	GRuler   // a step with a number above
	GDot     // a step without
	GMoment  // something happened: a token moved
	GLapse   // an act that came to nothing
	GBlock   // an act that was blocked
	GNudge   // a nudge
	GLand    // a slug landed
	GEast    // faces +x
	GWest    // -x
	GNorth   // +y, up on the page
	GSouth   // -y
	GUp      // +z, towards the reader
	GDown    // -z
	GEmpty   // a cell without anything
	GWire    // a conductor
	GWireArm // and its way to the next one
	GLive    // a live conductor
	GLiveArm
	GDots  // something was cut off here
	GMany  // more than 9
	GPoint // a point of a plot
	GSide  // the upright axis of a plot, its foot, and where they meet
	GFoot
	GCorner
	GSelf    // the part that a map is of
	GPadDead // what it reads
	GPadLive
	GReader    // what reads it
	GPadReader // both
	GMarked    // a part that a map points out, for a reason of its own
	GShade1    // the shades of a heat map, from least to most
	gShade2
	gShade3
	gShade4
	GShade5
)

// GlyphTable gives each sign, and what stands for it where only ASCII can be shown. The signs are of the East Asian
// width class Neutral: those of class Ambiguous are two columns wide in some terminals. In one picture each sign means one thing; '~'
// stands for what was left out, because nothing is there.
var GlyphTable = [...][2]rune{
	GLow: {'⣀', '_'}, GHigh: {'⠉', '-'}, GRise: {'⡏', '/'}, GFall: {'⣇', '\\'}, GZero: {'⇕', '!'},
	GQuietLow: {'⡀', ','}, GQuietHigh: {'⠁', '\''}, GValue: {'⡇', '['}, GHold: {'⠒', '='},
	GTick: {'»', '>'}, GRuler: {'╷', '|'}, GDot: {'⋅', '.'},
	GMoment: {'⬩', 'o'}, GLapse: {'∅', '%'}, GBlock: {'✗', 'x'}, GNudge: {'*', '*'}, GLand: {'⤓', 'v'},
	GEast: {'▸', '>'}, GWest: {'◂', '<'}, GNorth: {'▴', '^'}, GSouth: {'▾', 'v'}, GUp: {'⊚', '/'}, GDown: {'⊗', '\\'},
	GEmpty: {'⋅', '.'}, GWire: {'⠶', '+'}, GWireArm: {'⠒', '-'}, GLive: {'⣿', '#'}, GLiveArm: {'⠿', '='},
	GDots: {'⋯', '}'}, GMany: {'+', '&'},
	GPoint: {'◦', '*'}, GSide: {'⡇', '|'}, GFoot: {'⠉', '-'}, GCorner: {'⡏', '+'},
	GSelf: {'⊡', '%'}, GPadDead: {'⬦', '?'}, GPadLive: {'⬥', '$'}, GReader: {'⊳', '|'}, GPadReader: {'⋈', ','}, GMarked: {'◌', ';'},
	GShade1: {'⠂', '.'}, gShade2: {'⠒', ':'}, gShade3: {'⠶', '+'}, gShade4: {'⠿', 'x'}, GShade5: {'⣿', '#'},
}

// Sign is a glyph as a terminal shows it: ascii, if it can show nothing else.
func (g Glyph) Sign(ascii bool) rune {
	if ascii {
		return GlyphTable[g][1]
	}
	return GlyphTable[g][0]
}

// Fitted is a text for a picture in the terminal: printable, ASCII if need be, and cut to so many widths.
func Fitted(s string, width int, ascii bool) string {
	s = Clean(s)
	if ascii {
		s = strings.Map(func(r rune) rune {
			if r > '~' {
				return '?'
			}
			return r
		}, s)
	}
	if Columns(s) <= width {
		return s
	}
	return Widths.Truncate(s, width, string(GDots.Sign(ascii)))
}

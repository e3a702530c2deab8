package builtins

import (
	"strings"
)

// glyph is a sign that pictures in the terminal are drawn with. All of them take one column in every terminal.
type glyph int

const (
	gLow      glyph = iota // a lane that is off
	gHigh                  // and on
	gRise                  // goes on at this step; the edge is the left rim of the column
	gFall                  // goes off at this step
	gZero                  // goes on and off (or off and on) within this step
	gQuietLow              // the lane where time is folded
	gQuietHigh
	gValue   // the level becomes another at this step
	gHold    // and keeps that level
	gTick    // in front of a tick's number
	gRuler   // a step with a number above
	gDot     // a step without
	gMoment  // something happened: a token moved
	gLapse   // an act that came to nothing
	gBlock   // an act that was blocked
	gNudge   // a nudge
	gLand    // a slug landed
	gEast    // faces +x
	gWest    // -x
	gNorth   // +y, up on the page
	gSouth   // -y
	gUp      // +z, towards the reader
	gDown    // -z
	gEmpty   // a cell without anything
	gWire    // a conductor
	gWireArm // and its way to the next one
	gLive    // a live conductor
	gLiveArm
	gDots  // something was cut off here
	gMany  // more than 9
	gPoint // a point of a plot
	gSide  // the upright axis of a plot, its foot, and where they meet
	gFoot
	gCorner
	gShade1 // the shades of a heat map, from least to most
	gShade2
	gShade3
	gShade4
	gShade5
)

// glyphTable gives each sign, and what stands for it where only ASCII can be shown. The signs are of the East Asian
// width class Neutral: those of class Ambiguous are two columns wide in some terminals. In one picture each sign means one thing; '~'
// stands for what was left out, because nothing is there.
var glyphTable = [...][2]rune{
	gLow: {'⣀', '_'}, gHigh: {'⠉', '-'}, gRise: {'⡏', '/'}, gFall: {'⣇', '\\'}, gZero: {'⇕', '!'},
	gQuietLow: {'⡀', ','}, gQuietHigh: {'⠁', '\''}, gValue: {'⡇', '['}, gHold: {'⠒', '='},
	gTick: {'»', '>'}, gRuler: {'╷', '|'}, gDot: {'⋅', '.'},
	gMoment: {'⬩', 'o'}, gLapse: {'∅', '%'}, gBlock: {'✗', 'x'}, gNudge: {'*', '*'}, gLand: {'⤓', 'v'},
	gEast: {'▸', '>'}, gWest: {'◂', '<'}, gNorth: {'▴', '^'}, gSouth: {'▾', 'v'}, gUp: {'⊚', '/'}, gDown: {'⊗', '\\'},
	gEmpty: {'⋅', '.'}, gWire: {'⠶', '+'}, gWireArm: {'⠒', '-'}, gLive: {'⣿', '#'}, gLiveArm: {'⠿', '='},
	gDots: {'⋯', '}'}, gMany: {'+', '&'},
	gPoint: {'◦', '*'}, gSide: {'⡇', '|'}, gFoot: {'⠉', '-'}, gCorner: {'⡏', '+'},
	gShade1: {'⠂', '.'}, gShade2: {'⠒', ':'}, gShade3: {'⠶', '+'}, gShade4: {'⠿', 'x'}, gShade5: {'⣿', '#'},
}

// sign is a glyph as a terminal shows it: ascii, if it can show nothing else.
func (g glyph) sign(ascii bool) rune {
	if ascii {
		return glyphTable[g][1]
	}
	return glyphTable[g][0]
}

// fitted is a text for a picture in the terminal: printable, ASCII if need be, and cut to so many widths.
func fitted(s string, width int, ascii bool) string {
	s = clean(s)
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
	return widths.Truncate(s, width, string(gDots.sign(ascii)))
}

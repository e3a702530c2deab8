package sketch

import (
	"regexp"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// letter is the kind's, as maps have it.
func letter(k engine.Kind) rune { return rune(say.Kinds[k].Letter) }

// kindOf finds the kind of a letter, and whether it is a capital.
func kindOf(r rune) (k engine.Kind, capital, ok bool) {
	if r > 'z' || r <= ' ' {
		return 0, false, false
	}
	if 'A' <= r && r <= 'Z' {
		r, capital = r+'a'-'A', true
	}
	for _, k := range engine.Kinds() {
		if letter(k) == r {
			return k, capital, true
		}
	}
	return 0, false, false
}

// Facings are the signs for the six directions.
var Facings = [6]say.Glyph{say.GEast, say.GWest, say.GNorth, say.GSouth, say.GUp, say.GDown}

// Marks are the signs for what is about to happen at a part.
const (
	Armed   = '!'
	Queued  = 'q'
	Transit = ':'
	Forced  = '*'
	Timer   = '@'
)

// marksWay says why a sketch cannot place what a mark says.
var marksWay = map[rune]string{
	Queued:  "an act is queued",
	Transit: "a slug is in transit",
	Forced:  "the cell is forced",
	Timer:   "a timer is set",
}

// is reports whether a sign is a glyph, of either set.
func is(r rune, g say.Glyph) bool { return r == say.GlyphTable[g][0] || r == say.GlyphTable[g][1] }

func isNode(r rune) bool { return is(r, say.GWire) || is(r, say.GLive) }
func isArm(r rune) bool  { return is(r, say.GWireArm) || is(r, say.GLiveArm) }
func isDot(r rune) bool  { return is(r, say.GEmpty) }
func isJack(r rune) bool {
	return r == letter(engine.Jack) || r == letter(engine.Jack)-'a'+'A'
}

// isMiddle reports whether a sign stands in the middle of its cell; all others stand at its left.
func isMiddle(r rune) bool { return isNode(r) || isDot(r) || isJack(r) }

func facingOf(r rune) (engine.Dir, bool) {
	for d, g := range Facings {
		if is(r, g) {
			return engine.Dir(d), true
		}
	}
	return 0, false
}

// facingSigns lists the signs of a facing, those of both sets.
func facingSigns() string {
	var ascii, usual []string
	for _, g := range Facings {
		usual, ascii = append(usual, string(g.Sign(false))), append(ascii, string(g.Sign(true)))
	}
	return strings.Join(usual, " ") + ", or " + strings.Join(ascii, " ") + " for +x -x +y -y +z -z"
}

// slugOf reads the letter of a slug.
func slugOf(r rune) (engine.Slug, bool) {
	for s := engine.Plug; s <= engine.Bridge; s++ {
		if rune(s.String()[0]) == r {
			return s, true
		}
	}
	return engine.NoSlug, false
}

// isOwn reports whether a sign may be a user's own mark: a digit, or a letter that means nothing else on a map.
func isOwn(r rune) bool {
	if '0' <= r && r <= '9' {
		return true
	}
	if (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') || r == Queued {
		return false
	}
	_, _, taken := kindOf(r)
	return !taken
}

// notes are the beginnings of what a map says below its drawing, after the sign it explains.
var notes = []string{"faces ", "armed: the next news sets it off", "its act is queued", "a slug is in transit", "forced", "its timer is set",
	"a plug sits here", "a feed sits here", "a bridge sits here", "a loose ", "more than 9", ") a slug is on its way here"}

// ownNote is what a map says of a kind of a script's own, whether it is known here or not: y sensor waits, Y sees.
var ownNote = regexp.MustCompile(`^[a-z] \w+ [\w /]*(, [A-Z] [\w /]+|/[\w /]+)$`)

// isNote reports whether a line is one of those that explain the signs of a map; below says that it stands where they do.
func (r *reader) isNote(line string, below bool) bool {
	if line == "the bench is empty" || line == "nothing lies there" {
		return true
	}
	for item := range strings.SplitSeq(strings.TrimSpace(line), "   ") {
		if !r.isNoteItem(item) && !(below && ownNote.MatchString(item)) {
			return false
		}
	}
	return true
}

func (r *reader) isNoteItem(item string) bool {
	sign, text, ok := strings.Cut(item, " ")
	if !ok {
		return false
	}
	if strings.HasPrefix(sign, "~") {
		return strings.HasSuffix(text, "columns without parts")
	}
	kind, _, _ := strings.Cut(text, " ")
	if _, ok := engine.ParseKind(kind); ok {
		return true
	}
	if slices.ContainsFunc(r.kinds, func(s *engine.Spec) bool { return s.Name == kind && sign == string(s.Letter) }) {
		return true
	}
	for _, n := range notes {
		if strings.HasPrefix(text, n) {
			return true
		}
	}
	return false
}

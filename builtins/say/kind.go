package say

// Kind is how the parts of one kind are drawn and spoken of. What a kind is and does stands in the engine's table; nothing of
// that is repeated here.
type Kind struct {
	Name   string   // as the engine has it
	Letter byte     // on maps; a capital says that it is on, out, lit or pressed, holds a token, or is busy
	Glyphs [2]Glyph // on maps in the terminal instead of the letter, off and on; the same twice if it has none
	Off    string   // its two states, where the log has no words for them; Off is "" of one that never changes
	On     string
	Shown  [2]string // what small and capital letter say in the terminal, if not the words of its two states

	// For help and the guide: what the engine's table does not know.
	Reads  string // which cells or what of them, beside its pads
	Told   string // by whom else
	Reacts string // when it does
	While  string // when it feeds
	Feeds  string // what, of those that feed nothing by themselves or by their level
}

// Drawn reports whether maps draw it with signs of its own, or as a line, instead of its letter.
func (k *Kind) Drawn() bool { return k.Glyphs[0] != k.Glyphs[1] }

// OwnLetters are those that no kind and no sign of a map has: for kinds of a script's own.
const OwnLetters = "afhipyz"

// Kinds has a row for each kind of part, in the order of the engine's, bare cells first.
var Kinds = [...]Kind{
	{Name: "cell", Letter: '(', Off: "dead", On: "live"},
	{Name: "battery", Letter: 'b', On: "on",
		Reacts: "never changes"},
	{Name: "key", Letter: 'k',
		Told: "press and release", Reacts: "in step 0", While: "while pressed"},
	{Name: "wire", Letter: 'w', Glyphs: [2]Glyph{GWire, GLive},
		Reads: "the levels around it: its own is the highest of them less one, or reach beside a feed", Reacts: "in zero steps", Feeds: "its six neighbours, while live"},
	{Name: "jack", Letter: 'j',
		Reads: "as a wire", Reacts: "in zero steps", Feeds: "its six neighbours, while live; a slug in its cell opens it"},
	{Name: "lamp", Letter: 'l',
		Reacts: "in zero steps", Feeds: "nothing, and tells nobody but cords"},
	{Name: "reed", Letter: 'r',
		Reads: "and those of the reeds in its line, up to run cells away, through reeds that are on", Reacts: "in zero steps", Feeds: "nothing: it hands on news, not power"},
	{Name: "link", Letter: 'n',
		Reacts: "in one step", Feeds: "nothing: it hands on news, not power"},
	{Name: "shuttle", Letter: 's',
		Told: "also itself, when its slug has landed", Reacts: "in one step; the slug lands travel ticks later", Feeds: "nothing itself; its slug, where it sits: a feed the six neighbours, a bridge as a wire"},
	{Name: "delay", Letter: 'd',
		Reacts: "in its ticks", While: "while on"},
	{Name: "oneshot", Letter: 'o',
		Reacts: "in zero steps, and goes off after its ticks", While: "while on"},
	{Name: "echo", Letter: 'e',
		Reacts: "in one tick", While: "while on"},
	{Name: "gate", Letter: 'g',
		Reads: "of which only those count that hold something that can feed", Reacts: "in one step, or its ticks", While: "while on"},
	{Name: "bucket", Letter: 'u', Off: "empty", On: "holds a token",
		Reacts: "in zero steps while fed, in drop ticks while unfed", Feeds: "nothing; its tokens are noticed by a meter at whose back it stands, a chute before or behind it, and cords"},
	{Name: "tray", Letter: 't', Off: "empty", On: "holds a token", Shown: [2]string{"empty", "with its tokens"},
		Reacts: "in zero steps, when its first token comes or its last goes", While: "while it holds a token"},
	{Name: "chute", Letter: 'c', Off: "idle", On: "busy",
		Reads: "and power on any of them stops it", Told: "also when the tokens of the holder before or behind it change", Reacts: "in its ticks", Feeds: "nothing, and tells nobody"},
	{Name: "meter", Letter: 'm', Off: "off", On: "on", Shown: [2]string{"at 0", "at a level"},
		Reads: "the number of tokens in the holder there", Told: "also when those tokens change", Reacts: "in zero steps", While: "with that number as the level"},
	{Name: "kind", Letter: 'q', Off: "first", On: "active"}, // a kind of a script's own has its own letter and words
}

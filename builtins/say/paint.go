package say

// Style is a role that text plays on the screen.
type Style int

// The styles. Colour never carries meaning alone: the words say the same.
const (
	Plain Style = iota
	Title       // headings
	Word        // a builtin or an example
	Name        // a part, a parameter
	Number
	Dim
	Warn
	Rise  // on, out, live, lit, forced
	Fall  // off, home, dead, dark, freed
	Armed // a part that would act if it were told
	Styles
)

// Paint holds, for each style, the escape that begins it, such as "\x1b[1m". The zero value is plain text.
type Paint [Styles]string

// Apply dresses s in a style. Pad first, paint after: the escapes have no width on the screen but do count in len.
func (p Paint) Apply(style Style, s string) string {
	if s == "" || style < 0 || style >= Styles || p[style] == "" {
		return s
	}
	return p[style] + s + "\x1b[0m"
}

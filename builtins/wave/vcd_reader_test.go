package wave

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
)

// A strict reader of value change dumps, by the grammar of IEEE Std 1364-2005, 18.2.1 (as restated in parsers of the
// format; the clause itself was not opened): declarations first, one $enddefinitions, then times that never go back and
// value changes of declared identifier codes. It takes the four-state format and no extension.

// vcdDump is a dump as read.
type vcdDump struct {
	comments  []string
	timescale string
	vars      map[string]*vcdDecl // by identifier code
	changes   []vcdChange
	times     []*big.Int
}

type vcdDecl struct {
	scope []string // from the outermost
	kind  string
	size  int
	name  string
}

func (d *vcdDecl) path() string { return strings.Join(append(slices.Clone(d.scope), d.name), ".") }

// vcdChange is a value change; dumped tells those inside $dumpvars.
type vcdChange struct {
	time   *big.Int
	code   string
	value  string // without the leading b
	dumped bool
}

var (
	vcdNumber    = regexp.MustCompile(`^[0-9]+$`)
	vcdSimple    = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_$]*$`)
	vcdEscaped   = regexp.MustCompile(`^\\[!-~]+$`)
	vcdVarTypes  = strings.Fields("event integer parameter real realtime reg supply0 supply1 time tri triand trior trireg tri0 tri1 wand wire wor")
	vcdScopes    = strings.Fields("begin fork function module task")
	vcdTimeUnits = strings.Fields("s ms us ns ps fs")
)

// readVCD reads a dump, or says what is wrong with it.
func readVCD(text string) (*vcdDump, error) {
	for i := range len(text) {
		if c := text[i]; c != '\n' && (c < ' ' || c > '~') {
			return nil, fmt.Errorf("byte %d is %#x", i, c)
		}
	}
	tokens := strings.Fields(text)
	d := &vcdDump{vars: map[string]*vcdDecl{}}
	var scope []string
	paths := map[string]bool{}
	next := func() string {
		if len(tokens) == 0 {
			return ""
		}
		t := tokens[0]
		tokens = tokens[1:]
		return t
	}
	body := func() ([]string, error) {
		i := slices.Index(tokens, "$end")
		if i < 0 {
			return nil, fmt.Errorf("a command without $end")
		}
		b := tokens[:i]
		tokens = tokens[i+1:]
		return b, nil
	}
	identifier := func(s string) bool { return vcdSimple.MatchString(s) || vcdEscaped.MatchString(s) }
	seenTimescale := false
declarations:
	for {
		keyword := next()
		b, err := []string(nil), error(nil)
		switch keyword {
		case "$comment", "$date", "$version", "$timescale", "$scope", "$upscope", "$var", "$enddefinitions":
			if b, err = body(); err != nil {
				return nil, err
			}
		default:
			return nil, fmt.Errorf("%q among the declarations", keyword)
		}
		switch keyword {
		case "$comment":
			d.comments = append(d.comments, strings.Join(b, " "))
		case "$timescale":
			d.timescale = strings.Join(b, " ")
			if seenTimescale || len(b) != 2 || !slices.Contains([]string{"1", "10", "100"}, b[0]) || !slices.Contains(vcdTimeUnits, b[1]) {
				return nil, fmt.Errorf("timescale %v", b)
			}
			seenTimescale = true
		case "$scope":
			if len(b) != 2 || !slices.Contains(vcdScopes, b[0]) || !identifier(b[1]) {
				return nil, fmt.Errorf("scope %v", b)
			}
			scope = append(scope, b[1])
		case "$upscope":
			if len(b) != 0 || len(scope) == 0 {
				return nil, fmt.Errorf("$upscope %v in scope %v", b, scope)
			}
			scope = scope[:len(scope)-1]
		case "$var":
			if len(b) != 4 || !slices.Contains(vcdVarTypes, b[0]) || !vcdNumber.MatchString(b[1]) || !identifier(b[3]) {
				return nil, fmt.Errorf("var %v", b)
			}
			v := &vcdDecl{scope: slices.Clone(scope), kind: b[0], name: b[3]}
			fmt.Sscan(b[1], &v.size)
			if v.size < 1 || d.vars[b[2]] != nil || paths[v.path()] {
				return nil, fmt.Errorf("var %v: its size is 0, or its code or its name is taken", b)
			}
			paths[v.path()] = true
			d.vars[b[2]] = v
		case "$enddefinitions":
			if len(b) != 0 || len(scope) != 0 {
				return nil, fmt.Errorf("definitions end with %v in scope %v", b, scope)
			}
			break declarations
		}
	}
	now, dumping, dumped := (*big.Int)(nil), false, false
	for len(tokens) > 0 {
		t := next()
		switch {
		case t == "$dumpvars":
			if dumping || dumped || now == nil {
				return nil, fmt.Errorf("$dumpvars twice, or before the first time")
			}
			dumping = true
		case t == "$end" && dumping:
			dumping, dumped = false, true
		case t == "$comment":
			if _, err := body(); err != nil {
				return nil, err
			}
		case t[0] == '#':
			if !vcdNumber.MatchString(t[1:]) || dumping {
				return nil, fmt.Errorf("time %q", t)
			}
			time, _ := new(big.Int).SetString(t[1:], 10)
			if now != nil && time.Cmp(now) <= 0 {
				return nil, fmt.Errorf("time %v after %v", time, now)
			}
			now = time
			d.times = append(d.times, now)
		default:
			c := vcdChange{time: now, dumped: dumping}
			vector := t[0] == 'b' || t[0] == 'B'
			if vector {
				c.value, c.code = t[1:], next()
			} else {
				c.value, c.code = t[:1], t[1:]
			}
			v := d.vars[c.code]
			switch {
			case v == nil:
				return nil, fmt.Errorf("change %q of an unknown code", t)
			case now == nil:
				return nil, fmt.Errorf("change %q before the first time", t)
			case c.value == "" || strings.Trim(c.value, "01") != "" || len(c.value) > v.size || vector != (v.size > 1):
				return nil, fmt.Errorf("value %q of a %s of %d bits", c.value, v.kind, v.size)
			}
			d.changes = append(d.changes, c)
		}
	}
	if dumping || !dumped {
		return nil, fmt.Errorf("$dumpvars is missing or has no $end")
	}
	return d, nil
}

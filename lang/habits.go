package lang

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// What people who come from Python write, and what to write instead. Each gets a sentence of its own.

// habitWords are words that begin something the language does not have.
var habitWords = map[string]string{
	"try":      "there is no try; an error ends the script (expect_error(fn, text) checks that there is one)",
	"except":   "there is no try and no except; an error ends the script",
	"finally":  "there is no try and no finally; an error ends the script",
	"raise":    `there is no raise; write fail("what is wrong")`,
	"assert":   `there is no assert; write expect(cond, "what should hold")`,
	"class":    "there are no classes; write struct(a=1, b=2), or a def that returns one",
	"import":   `there is no import; write load("lib/NAME.star", "name") or load("./FILE.star", "name")`,
	"from":     `there is no import; write load("lib/NAME.star", "name") or load("./FILE.star", "name")`,
	"is":       "there is no is; write == or !=",
	"del":      "there is no del; write d.pop(key) for a dict, xs.pop(i) for a list",
	"global":   "there is no global: a function cannot assign names outside it; keep the value in a list or a dict, or return it",
	"nonlocal": "there is no nonlocal: a function cannot assign names outside it; keep the value in a list or a dict, or return it",
	"with":     "there is no with; files are read with load and written with save and export",
	"yield":    "there is no yield; return a list",
	"async":    "there is no async; a script does one thing after the other",
	"await":    "there is no await; a script does one thing after the other",
	"match":    "there is no match; write if, elif and else",
	"switch":   "there is no switch; write if, elif and else",
}

// habitSigns are signs the language does not have.
var habitSigns = map[string]string{
	"**": "there is no **; write math.pow(x, y), or 1 << n for a power of two",
	"&&": "there is no &&; write and",
	"||": "there is no ||; write or",
	"!":  "there is no !; write not",
	"++": "there is no ++; write n += 1",
	"--": "there is no --; write n -= 1",
	":=": "there is no :=; write the assignment on a line of its own",
	"?":  "there is no ? :; write a if cond else b",
	"->": "there are no annotations; write def f(x):",
	"@":  "there are no decorators; write f = decorate(f) below the def",
}

// pythonNames are names of Python's that are not there.
var pythonNames = map[string]string{
	"true": "did you mean True?", "false": "did you mean False?", "null": "did you mean None?", "none": "did you mean None?",
	"sum":        "there is no sum; add in a loop",
	"map":        "there is no map of functions; write [f(x) for x in xs]",
	"filter":     "there is no filter; write [x for x in xs if cond(x)]",
	"open":       "files are read with load and written with save and export",
	"input":      "a script asks nothing while it runs; give it arguments and read them with arg(name, default)",
	"isinstance": `write type(x) == "int"`,
	"round":      "there is no round; write int(x + 0.5), or math.round(x)",
	"pow":        "write math.pow(x, y)",
	"switch":     "there is no switch; write if, elif and else",
	"exit":       `a script ends with its last line, or with fail("why"); Ctrl-D leaves the shell`,
	"quit":       "Ctrl-D leaves the shell",
}

// habit recognizes a mistake as a habit and says what to write instead.
func (s *Session) habit(e *Error) bool {
	say := func(sentence string) bool {
		e.Msg, e.Hint = sentence, ""
		return true
	}
	if strings.Contains(e.Msg, "does not associate with") {
		if strings.HasPrefix(e.Msg, "in ") || strings.HasPrefix(e.Msg, "not in ") {
			return say("in does not chain; write a in b and b in c")
		}
		return say("comparisons do not chain; write a < b and b < c")
	}
	syntactic := strings.HasPrefix(e.Msg, "got ") && strings.Contains(e.Msg, ", want ") || strings.HasPrefix(e.Msg, "unexpected input character")
	if !syntactic {
		switch {
		case strings.HasPrefix(e.Msg, "invalid int literal") && strings.Contains(e.line, "0"):
			return say("a number other than 0 does not begin with 0; octal is written 0o17")
		}
		return false
	}
	tokens := lex(e.line)
	at, col := -1, int(e.Pos.Col)-1
	for i, t := range tokens {
		if utf8.RuneCountInString(e.line[:t.start]) <= col && col < utf8.RuneCountInString(e.line[:t.end]) {
			at = i
		}
	}
	aim := func(i int) { e.Pos.Col = int32(utf8.RuneCountInString(e.line[:tokens[i].start])) + 1 }
	word := func(i int) string {
		if i < 0 || i >= len(tokens) {
			return ""
		}
		return tokens[i].text
	}
	for _, i := range []int{at - 1, at, at + 1} { // ++ and && are two signs to the interpreter: it stops at the second
		if i >= 0 && i < len(tokens) && tokens[i].kind == tokOp {
			if h, ok := habitSigns[word(i)]; ok && (i == at || word(i) != "**") {
				aim(i)
				return say(h)
			}
		}
	}
	if at < 0 {
		if n := len(tokens); n > 0 && (word(n-1) == "++" || word(n-1) == "--") {
			aim(n - 1)
			return say(habitSigns[word(n-1)])
		}
		return s.oddLetter(e, say)
	}
	t, before := tokens[at], word(at-1)
	switch {
	case t.kind == tokString && at > 0 && tokens[at-1].end == t.start && strings.ContainsAny(before, "fF") && len(before) <= 2:
		return say(`there are no f-strings; write "{} and {}".format(a, b), or "%s and %s" % (a, b)`)
	case t.kind == tokString && at > 0 && tokens[at-1].end == t.start && (before == "u" || before == "U"):
		return say("strings need no u before them")
	case t.kind == tokName && habitWords[t.text] != "":
		return say(habitWords[t.text])
	case at > 0 && tokens[at-1].kind == tokName && habitWords[before] != "" && at == 1:
		aim(at - 1)
		return say(habitWords[before])
	case before == "print":
		aim(at - 1)
		return say("print is a function; write print(x)")
	case t.text == "=" && strings.HasSuffix(e.Msg, "want ':'"):
		return say("= assigns; to compare, write ==")
	case t.text == ":" && at > 1 && tokens[at-1].kind == tokName && word(0) == "def":
		return say("there are no annotations; write def f(x):")
	case t.text == ":" && strings.HasSuffix(e.Msg, "want newline"):
		return say("there are no annotations; write x = 3")
	case t.text == "for" && strings.HasSuffix(e.Msg, "want ','"):
		return say("there are no generators; put the loop in brackets, [x for x in xs]")
	case t.text == "else" && word(at+1) == "if", t.text == "if" && before == "else":
		return say("there is no else if; write elif")
	case t.text == "return" && hasWord(tokens[:at], "lambda"):
		return say("a lambda is one expression, without return")
	case t.text == "return":
		return say("return begins a line of its own, inside a def")
	case t.kind == tokName && strings.HasPrefix(t.text, "_") && at > 0 && tokens[at-1].kind == tokNumber && tokens[at-1].end == t.start:
		return say("a number is written without _")
	case strings.HasPrefix(t.text, "_") || t.kind == tokNumber && strings.Contains(t.text, "_"):
		return say("a number is written without _")
	}
	return s.oddLetter(e, say)
}

func hasWord(tokens []token, word string) bool {
	return slices.ContainsFunc(tokens, func(t token) bool { return t.text == word })
}

// oddLetter speaks of letters that look like others.
func (s *Session) oddLetter(e *Error, say func(string) bool) bool {
	line := []rune(e.line)
	i := int(e.Pos.Col) - 1
	if !strings.HasPrefix(e.Msg, "unexpected input character") || i < 0 || i >= len(line) {
		return false
	}
	switch line[i] {
	case '“', '”', '„', '‘', '’', '«', '»':
		return say(`a string stands in straight quotes, "like this"`)
	case '\u00a0', '\u2002', '\u2003', '\u2009', '\u202f':
		return say("this blank is not an ordinary space; type it again")
	case '–', '—', '−':
		return say("this is a dash; a minus is written -")
	case '×':
		return say("times is written *")
	}
	e.Msg = "unexpected character " + string(line[i:i+1])
	return true
}

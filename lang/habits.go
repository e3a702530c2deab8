package lang

import (
	"slices"
	"strings"
	"unicode/utf8"

	"pulsewright/lang/lex"
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
	"exit":       `a script ends with its last line, or with fail("why"); in the shell, exit stands alone`,
	"quit":       `a script ends with its last line, or with fail("why"); in the shell, quit stands alone`,

	// What people type who take the prompt for that of their system, or for a player.
	"ls":      "parts() lists the parts of the bench; files are not listed here",
	"dir":     "parts() lists the parts of the bench; files are not listed here",
	"cd":      "there is one folder, the one in which pulsewright was begun",
	"pwd":     "there is one folder, the one in which pulsewright was begun",
	"cat":     "a script is run by pulsewright run FILE; load gives what it defines",
	"man":     `help() says what to do first; help("fire") explains a word`,
	"clear":   "Ctrl-L clears the screen; fresh() gives an empty bench",
	"cls":     "Ctrl-L clears the screen; fresh() gives an empty bench",
	"reset":   "fresh() gives an empty bench; undo() takes the last command back",
	"restart": "fresh() gives an empty bench; undo() takes the last command back",
	"delete":  "remove(part) takes a part off the bench",
	"history": "the Up key brings back what was typed; save(path) writes it as a script",
	"sleep":   "nothing waits here: run(ticks=3) lets ticks of the bench pass",
	"wait":    "nothing waits here: run(ticks=3) lets ticks of the bench pass",
	"play":    "run() lets time pass and shows each step; step() and turn() go on by one",
	"start":   "press(key) or fire(target) begins something; run() lets time pass",
	"stop":    "Ctrl-C stops what runs",
}

// habit recognizes a mistake as a habit and says what to write instead.
func (s *Session) habit(e *Error) bool {
	say := func(sentence string) bool {
		e.Msg, e.Hint = sentence, ""
		return true
	}
	if chained(e.Msg) {
		if strings.HasPrefix(e.Msg, "in ") || strings.HasPrefix(e.Msg, "not in ") {
			return say("in does not chain; write a in b and b in c")
		}
		return say("comparisons do not chain; write a < b and b < c")
	}
	if !gotOther(e.Msg) && !oddCharacter(e.Msg) {
		if oddNumber(e.Msg) && strings.Contains(e.line, "0") {
			return say("a number other than 0 does not begin with 0; octal is written 0o17")
		}
		return false
	}
	m := slip{Error: e, tokens: lex.Text(e.line), at: -1}
	col := int(e.Pos.Col) - 1
	for i, t := range m.tokens {
		if utf8.RuneCountInString(e.line[:t.Start]) <= col && col < utf8.RuneCountInString(e.line[:t.End]) {
			m.at = i
		}
	}
	if sentence := s.unbracketed(&m); sentence != "" && habitWords[m.word(0)] == "" && m.word(0) != "print" {
		return say(sentence)
	}
	sentence, aim := m.sign()
	if sentence == "" && m.at >= 0 {
		sentence, aim = m.words()
	}
	if sentence == "" {
		return s.oddLetter(e, say)
	}
	if aim >= 0 {
		e.Pos.Col = int32(utf8.RuneCountInString(e.line[:m.tokens[aim].Start])) + 1
	}
	return say(sentence)
}

// slip is a line that cannot be read, and the token at which that was found; -1 if it was behind the last.
type slip struct {
	*Error
	tokens []lex.Token
	at     int
}

func (m *slip) word(i int) string {
	if i < 0 || i >= len(m.tokens) {
		return ""
	}
	return m.tokens[i].Text
}

// sign finds a sign that the language does not have, and says what to write and at which token the sign is. ++ and && are two
// signs to the interpreter: it stops at the second.
func (m *slip) sign() (sentence string, aim int) {
	for _, i := range []int{m.at - 1, m.at, m.at + 1} {
		if i >= 0 && i < len(m.tokens) && m.tokens[i].Kind == lex.Op {
			if h, ok := habitSigns[m.word(i)]; ok && (i == m.at || m.word(i) != "**") {
				return h, i
			}
		}
	}
	if last := len(m.tokens) - 1; m.at < 0 && (m.word(last) == "++" || m.word(last) == "--") {
		return habitSigns[m.word(last)], last
	}
	return "", -1
}

// words finds a habit by the token at which the line could not be read and those around it. aim is the token to point at, if it
// is another; else -1.
func (m *slip) words() (sentence string, aim int) {
	at := m.at
	t, before := m.tokens[at], m.word(at-1)
	joined := at > 0 && m.tokens[at-1].End == t.Start // no blank between them
	switch {
	case t.Kind == lex.String && joined && strings.ContainsAny(before, "fF") && len(before) <= 2:
		return `there are no f-strings; write "{} and {}".format(a, b), or "%s and %s" % (a, b)`, -1
	case t.Kind == lex.String && joined && (before == "u" || before == "U"):
		return "strings need no u before them", -1
	case t.Kind == lex.Name && habitWords[t.Text] != "":
		return habitWords[t.Text], -1
	case at == 1 && m.tokens[0].Kind == lex.Name && habitWords[before] != "":
		return habitWords[before], 0
	case before == "print":
		return "print is a function; write print(x)", at - 1
	case t.Text == "=" && wants(m.Msg, "':'"):
		return "= assigns; to compare, write ==", -1
	case t.Text == ":" && at > 1 && m.tokens[at-1].Kind == lex.Name && m.word(0) == "def":
		return "there are no annotations; write def f(x):", -1
	case t.Text == ":" && wants(m.Msg, "newline"):
		return "there are no annotations; write x = 3", -1
	case t.Text == "for" && wants(m.Msg, "','"):
		return "there are no generators; put the loop in brackets, [x for x in xs]", -1
	case t.Text == "else" && m.word(at+1) == "if", t.Text == "if" && before == "else":
		return "there is no else if; write elif", -1
	case t.Text == "return" && hasWord(m.tokens[:at], "lambda"):
		return "a lambda is one expression, without return", -1
	case t.Text == "return":
		return "return begins a line of its own, inside a def", -1
	case strings.HasPrefix(t.Text, "_") || t.Kind == lex.Number && strings.Contains(t.Text, "_"):
		return "a number is written without _", -1
	}
	return "", -1
}

func hasWord(tokens []lex.Token, word string) bool {
	return slices.ContainsFunc(tokens, func(t lex.Token) bool { return t.Text == word })
}

// oddLetter speaks of letters that look like others.
func (s *Session) oddLetter(e *Error, say func(string) bool) bool {
	line := []rune(e.line)
	i := int(e.Pos.Col) - 1
	if !oddCharacter(e.Msg) || i < 0 || i >= len(line) {
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

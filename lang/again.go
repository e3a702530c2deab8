package lang

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins"
)

// origin is what a session runs: a script with its arguments. The zero value is anything else.
type origin struct {
	file     string // as the user named it, or of an embedded script
	embedded bool
	test     bool // it is a file of tests
}

// again says how what the session does now can be done again, also which scripts of one's own that needs.
func (s *Session) again() builtins.Again {
	a := s.againAlone()
	var needs []string
	for key := range s.loader.modules {
		if isOwn(key) {
			_, at := s.ownKey(key)
			needs = append(needs, ownPrefix+at)
		}
	}
	if slices.Sort(needs); len(needs) > 0 && a.Why == "" {
		a.Where += ", and --library DIR for the folder with " + strings.Join(slices.Compact(needs), ", ")
	}
	return a
}

// againAlone says how what the session does now can be done again: a script of a file by the command that ran it; all else by
// the script it amounts to, given to standard input.
func (s *Session) againAlone() builtins.Again {
	command := fmt.Sprintf("pulsewright --seed %d", s.cfg.Seed)
	if s.cfg.ASCII {
		command += " --ascii"
	}
	utf8 := ""
	if !s.cfg.ASCII {
		utf8 = ", into a file or on a terminal that shows UTF-8"
	}
	given, o := s.args.words(), s.origin
	if s.chunk == nil && o.file != "" {
		a := builtins.Again{Where: "in the folder of the script, with all files there as they were" + utf8}
		name := filepath.Base(o.file)
		switch {
		case o.test:
			a.Command = command + " test " + shellWord(name)
			return a
		case o.embedded:
			name, a.Where = o.file, "in any folder without a file of that name: the script is part of pulsewright"+utf8
		}
		a.Command = strings.Join(append([]string{command, "run", shellWord(name)}, given...), " ")
		return a
	}
	a := builtins.Again{Command: command + " -", Script: s.doing, Where: "with the script below as standard input" + utf8}
	if s.chunk == nil && len(s.script) > 0 {
		a.Script, _ = s.savedWith(s.doing)
	}
	if s.chunk != nil {
		const made = "it was made in a conversation in which "
		loose := 0
		a.Script, loose = s.savedWith(s.chunk.src)
		switch {
		case loose > 0:
			return builtins.Again{Why: made + "a command was interrupted or a script broke off"}
		case len(given) > 0:
			return builtins.Again{Why: made + "a script was given arguments: " + strings.Join(given, " ")}
		case o.file != "" && filepath.Dir(o.file) != "." && strings.Contains(a.Script, `load("./`):
			return builtins.Again{Why: made + "a script was run that loads files beside it"}
		}
	}
	a.Script = strings.TrimRight(a.Script, " \t\r\n")
	if strings.Contains(a.Script, `load("./`) {
		a.Where += ", in a folder with the files it loads"
	}
	return a
}

// savedWith is the session as a script, with a command that is still being run.
func (s *Session) savedWith(src string) (body string, loose int) {
	was := s.script
	defer func() { s.script = was }()
	s.script = append(was[:len(was):len(was)], part{src: src})
	return s.saved()
}

// words lists the pairs a run was given, as they are written for a shell.
func (a *arguments) words() []string {
	var words []string
	for _, w := range a.pairs() {
		words = append(words, shellWord(w))
	}
	return words
}

// shellWord writes a word so that a shell takes it as it stands.
func shellWord(s string) string {
	plain := strings.IndexFunc(s, func(r rune) bool {
		return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || strings.ContainsRune("._-=/,:+%@", r))
	}) < 0
	if s != "" && plain {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

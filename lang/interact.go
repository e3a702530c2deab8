package lang

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"go.starlark.net/syntax"

	"pulsewright/lang/lex"
	"pulsewright/lang/source"
)

// LineReader is where the conversation comes from: a line editor, or a test.
type LineReader interface {
	// ReadLine shows prompt, with prefill already typed, and returns what was entered: a line, or several
	// joined by newlines if they were pasted. io.EOF ends the session, ErrInterrupt drops the line or block.
	ReadLine(prompt, prefill string) (string, error)
}

// ChunkKeeper is a LineReader that keeps a history: it is given every chunk, whole, before the chunk is run.
type ChunkKeeper interface{ Keep(chunk string) }

// ErrInterrupt says that the user gave up the line.
var ErrInterrupt = errors.New("interrupted")

// Interact is the shell: it reads a chunk, runs it, reports what went wrong, and begins again, until the end of the
// input. ctx is called for each command; the command ends when that context does.
func (s *Session) Interact(ctx func() (context.Context, context.CancelFunc), in LineReader) error {
	keeper, _ := in.(ChunkKeeper)
	for {
		chunk, err := s.Read(in)
		switch {
		case err == io.EOF:
			return nil
		case err == ErrInterrupt:
			continue
		case err != nil:
			return err
		}
		if strings.TrimSpace(chunk) == "" {
			continue
		}
		if keeper != nil {
			keeper.Keep(chunk)
		}
		if s.leaves(chunk) {
			return nil
		}
		c, cancel := ctx()
		err = s.Command(c, chunk)
		cancel()
		s.Report(err)
	}
}

// Read collects lines until they make a whole, with the prompts of the conversation.
func (s *Session) Read(in LineReader) (string, error) {
	prompt, block := s.prompts()
	entered, err := in.ReadLine(prompt, "")
	if err != nil {
		return "", err
	}
	chunk := StripPrompts(entered)
	if _, ok := question(chunk); ok {
		return chunk, nil
	}
	pasted := strings.Contains(chunk, "\n")
	for pasted && unfinished(chunk) || !pasted && Incomplete(chunk) {
		s.Draft(chunk)
		entered, err := in.ReadLine(block, NextRow(chunk))
		if err == ErrInterrupt {
			s.Draft("")
		}
		if err == io.EOF {
			return "", ErrInterrupt // drops the block; the reader will say so again if it was the end
		}
		if err != nil {
			return "", err
		}
		entered = StripPrompts(entered)
		if strings.TrimSpace(entered) == "" && !inText(chunk) {
			entered = ""
		}
		chunk += "\n" + entered
		if entered == "" && (pasted || !inBrackets(chunk)) {
			break
		}
	}
	return strings.TrimRight(chunk, " \t\n"), nil
}

// inText reports whether a text ends inside a long string, where every blank counts: a drawing, say.
func inText(src string) bool {
	tokens := lex.Text(src)
	return len(tokens) > 0 && tokens[len(tokens)-1].Kind == lex.Open && len(tokens[len(tokens)-1].Quote) == 3
}

// prompts are the prompt with the bench's time, tick.step, and one of the same width for the further lines of a block.
func (s *Session) prompts() (first, block string) {
	now, p := s.Now(), s.cfg.OutPalette
	end := "»"
	if s.cfg.ASCII {
		end = "|>"
	}
	at := fmt.Sprintf("%d.%d", now.Tick, now.Step)
	first = at + " " + end
	block = strings.Repeat(" ", len(at)-1) + ": " + end
	return p.Paint(p.Prompt, first) + " ", p.Paint(p.Block, block) + " "
}

var ownPrompt = regexp.MustCompile(`^(?:\d+\.\d+| *:) (?:»|\|>)(?: |$)`)

// StripPrompts cuts our own prompts off the beginnings of lines, so that a piece of a session can be pasted
// back. If the first line has one, lines without are answers and are dropped.
func StripPrompts(text string) string {
	first := ownPrompt.FindString(text)
	if first == "" {
		return text
	}
	if !strings.Contains(text, "\n") {
		return text[len(first):]
	}
	var kept []string
	for _, line := range strings.Split(text, "\n") {
		p := ownPrompt.FindString(line)
		if p == "" {
			continue
		}
		// A new command ends the block before it.
		if !strings.Contains(p, ":") && len(kept) > 0 && strings.HasPrefix(kept[len(kept)-1], " ") {
			kept = append(kept, "")
		}
		kept = append(kept, line[len(p):])
	}
	return strings.Join(kept, "\n")
}

// Incomplete reports whether a text that is being typed wants more lines. A block ends with an empty line.
func Incomplete(src string) bool {
	trimmed := strings.TrimSpace(src)
	if trimmed == "" || strings.HasPrefix(trimmed, "#") && !strings.Contains(trimmed, "\n") {
		return false
	}
	lines := strings.SplitAfter(withoutComments(src)+"\n", "\n")
	lines = lines[:len(lines)-1]
	asked := false
	_, err := source.Dialect.ParseCompoundStmt(shellName, func() ([]byte, error) {
		if len(lines) == 0 {
			asked = true
			return nil, io.EOF
		}
		line := lines[0]
		lines = lines[1:]
		return []byte(line), nil
	})
	if err == nil {
		return asked
	}
	// A mistake in what there is ends it; one at the end of what there is may be cured by more.
	return asked && !mistaken(src)
}

// withoutComments drops the lines that hold a comment and nothing else: in a block that is being typed they
// would count as the empty line that ends it.
func withoutComments(src string) string {
	for tokens := lex.Text(src); len(tokens) > 0; tokens = tokens[:len(tokens)-1] {
		t := tokens[len(tokens)-1]
		line := strings.LastIndexByte(src[:t.Start], '\n') + 1
		if t.Kind == lex.Comment && line > 0 && strings.TrimSpace(src[line:t.Start]) == "" {
			src = src[:line-1] + src[t.End:]
		}
	}
	return src
}

// mistaken reports whether a text is wrong before its end.
func mistaken(src string) bool {
	_, err := source.Dialect.Parse(shellName, src+"\n", 0)
	var e syntax.Error
	if !errors.As(err, &e) {
		return false
	}
	if breaksOff(e.Msg) || wantsBody(e.Msg) {
		return false
	}
	return int(e.Pos.Line) <= strings.Count(src, "\n")+1
}

// unfinished reports whether a pasted text breaks off: in brackets, in a string, or before the body of a block.
func unfinished(src string) bool {
	_, err := source.Dialect.Parse(shellName, src+"\n", 0)
	var e syntax.Error
	if !errors.As(err, &e) {
		return false
	}
	return breaksOff(e.Msg)
}

// inBrackets reports whether a text ends inside brackets or a long string, where an empty line means nothing.
func inBrackets(src string) bool {
	_, open := lastStatement(src)
	return open || inText(src)
}

package lang

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// A journal is a conversation as it goes: JSON Lines, so that a shell that dies leaves all that was done. The first line says what the
// session was begun with. Before a command runs, "runs" holds it. After it, one line says what stands: the first "kept" pieces, as save
// would write them, and then the one in the line. What undo() takes back is no longer kept. "wrote" is a file that a command wrote, as it was then: it
// may be written again, as long as it is still the same. "loaded" is a file that a command loaded, and what its text comes to. "draft" is
// what was typed and not run yet; "runs" ends it.

// journalLine is one line of a journal.
type journalLine struct {
	Journal string   `json:"journal,omitempty"` // the first line: journalName
	Version int      `json:"version,omitempty"`
	Seed    int64    `json:"seed,omitempty"`
	Folder  string   `json:"folder,omitempty"`
	Given   []string `json:"given,omitempty"`

	Runs    string `json:"runs,omitempty"`
	Kept    *int   `json:"kept,omitempty"`
	Src     string `json:"src,omitempty"`
	Failed  bool   `json:"failed,omitempty"`
	Stopped string `json:"stopped,omitempty"`

	Wrote string `json:"wrote,omitempty"`
	Bytes int64  `json:"bytes,omitempty"`
	Time  int64  `json:"time,omitempty"` // of the file, in nanoseconds

	Loaded string  `json:"loaded,omitempty"`
	Digest string  `json:"digest,omitempty"`
	Draft  *string `json:"draft,omitempty"`
}

const journalName, journalVersion = "pulsewright", 1

// journal is where a session writes its journal, and what stands there.
type journal struct {
	w      io.Writer // nil: nowhere
	stand  []part
	wrote  map[string]fs.FileInfo
	loaded map[string]*module
	draft  string
}

func (j *journal) write(l journalLine) {
	if j.w == nil {
		return
	}
	b, err := json.Marshal(l)
	if err == nil {
		_, err = j.w.Write(append(b, '\n')) // one write: a line is there or not
	}
	if err != nil {
		j.w = nil
	}
}

// Journal has the session write a journal from now on, which begins with what was given to it and done so far: a conversation that is
// resumed is resumed before. folder is the working folder. It reports whether all that could be written.
func (s *Session) Journal(w io.Writer, folder string) bool {
	draft := s.journal.draft
	s.journal = journal{w: w}
	s.journal.write(journalLine{Journal: journalName, Version: journalVersion, Seed: s.cfg.Seed, Folder: folder, Given: s.args.pairs()})
	s.journalled()
	s.Draft(draft)
	return s.journal.w != nil
}

// Said reports whether anything was done or typed that a journal would bring back.
func (s *Session) Said() bool { return len(s.script) > 0 || s.journal.draft != "" }

// journalled brings the journal to where the session is.
func (s *Session) journalled() {
	j, n := &s.journal, 0
	for n < len(j.stand) && n < len(s.script) && j.stand[n] == s.script[n] {
		n++
	}
	j.write(journalLine{Kept: &n})
	for i := n; i < len(s.script); i++ {
		p := s.script[i]
		j.write(journalLine{Kept: &i, Src: p.src, Failed: p.failed, Stopped: p.stopped})
	}
	j.stand = append(j.stand[:n:n], s.script[n:]...)
	for _, path := range slices.Sorted(maps.Keys(s.env.Wrote)) {
		if f := s.env.Wrote[path]; j.wrote[path] != f {
			j.write(journalLine{Wrote: path, Bytes: f.Size(), Time: f.ModTime().UnixNano()})
		}
	}
	j.wrote = maps.Clone(s.env.Wrote)
	for _, key := range slices.Sorted(maps.Keys(s.loader.modules)) {
		if m := s.loader.modules[key]; j.loaded[key] != m {
			j.write(journalLine{Loaded: key, Digest: m.digest()})
		}
	}
	j.loaded = maps.Clone(s.loader.modules)
}

// Past is a conversation as a journal holds it.
type Past struct {
	Seed   int64
	Folder string
	Given  []string // name=value
	Cut    string   // the command that ran when it ended
	Draft  string   // what was being typed
	Moved  bool     // it goes on in Folder, which is not where the user is
	pieces []part
	wrote  []journalLine
	loaded []journalLine
}

// Empty reports whether there is nothing to bring back.
func (p *Past) Empty() bool { return len(p.pieces) == 0 && p.Cut == "" && p.Draft == "" }

// ReadJournal reads a journal. A last line that is not whole was being written when the shell died, and is passed over.
func ReadJournal(r io.Reader) (*Past, error) {
	in := bufio.NewReader(r)
	p := &Past{}
	for n := 1; ; n++ {
		text, err := in.ReadBytes('\n')
		if err == io.EOF {
			if n == 1 {
				return nil, errors.New("it is no journal of pulsewright")
			}
			return p, nil
		}
		if err != nil {
			return nil, err
		}
		var l journalLine
		if err := json.Unmarshal(text, &l); err != nil {
			return nil, fmt.Errorf("line %d of the journal is damaged", n)
		}
		switch {
		case n == 1 && l.Journal != journalName:
			return nil, errors.New("it is no journal of pulsewright")
		case n == 1 && l.Version != journalVersion:
			return nil, fmt.Errorf("it is a journal of version %d, want %d", l.Version, journalVersion)
		case n == 1:
			p.Seed, p.Folder, p.Given = l.Seed, l.Folder, l.Given
		case l.Wrote != "":
			p.wrote = append(p.wrote, l)
		case l.Loaded != "":
			p.loaded = append(p.loaded, l)
		case l.Draft != nil:
			p.Draft = *l.Draft
		case l.Kept == nil:
			p.Cut, p.Draft = l.Runs, ""
		case *l.Kept < 0 || *l.Kept > len(p.pieces):
			return nil, fmt.Errorf("line %d of the journal is damaged", n)
		default:
			p.Cut, p.pieces = "", p.pieces[:*l.Kept]
			if l.Src != "" || l.Failed {
				p.pieces = append(p.pieces, part{l.Src, l.Failed, l.Stopped})
			}
		}
	}
}

// Resume runs a conversation again, in silence, so that names and bench are as they were, and says how far it came and what could not be
// repeated. Files that it wrote are not written again. all reports whether everything was brought back.
func (s *Session) Resume(ctx context.Context, p *Past) (all bool, err error) {
	if err := s.args.set(p.Given); err != nil {
		return false, err
	}
	log, out := s.log, s.env.Out
	s.log, s.env.Out, s.env.Again = silence{}, io.Discard, nil
	s.env.Rereading = true
	done, lost := 0, []string(nil)
	for _, piece := range p.pieces {
		if piece.stopped != "" {
			lost = append(lost, fmt.Sprintf("it was interrupted at %s: %s", piece.stopped, brief(piece.src)))
			continue
		}
		if err = s.Command(ctx, piece.src); Interrupted(err) {
			break
		}
		if err != nil {
			_, msg := Where(err)
			lost = append(lost, brief(piece.src)+": "+msg)
			continue
		}
		if done++; piece.failed {
			lost = append(lost, "what the last statement of a script had done when the script broke off")
		}
	}
	s.log, s.env.Out, s.env.Again = log, out, s.again
	s.env.Rereading = false
	s.log.Skip(s.env.Bench)
	s.owns(p)
	if p.Cut != "" {
		lost = append(lost, "it was running when the shell ended: "+brief(p.Cut))
	}
	text := fmt.Sprintf("resumed: %s, now %v", counted(done, "command"), s.Now())
	if p.Moved {
		text += ", in " + say.Printable(p.Folder)
	}
	fmt.Fprintln(s.env.Out, s.folded(text))
	s.changedSince(p)
	for _, what := range lost {
		fmt.Fprintln(s.env.Out, s.folded("not brought back: "+what))
	}
	if Interrupted(err) {
		fmt.Fprintf(s.env.Out, "interrupted: %d of %s brought back\n", done, counted(len(p.pieces), "command"))
		return false, nil
	}
	return len(lost) == 0, nil
}

// changedSince says which files that a conversation loaded have another text now.
func (s *Session) changedSince(p *Past) {
	said := map[string]bool{}
	for _, l := range p.loaded {
		if m := s.loader.modules[l.Loaded]; m != nil && m.digest() != l.Digest && !said[l.Loaded] {
			said[l.Loaded] = true
			fmt.Fprintln(s.env.Out, s.folded(say.Printable(s.loader.show(l.Loaded))+" was changed since it was loaded, and is loaded as it is now"))
		}
	}
}

// owns takes over the files that a conversation wrote and nobody has changed since.
func (s *Session) owns(p *Past) {
	for _, l := range p.wrote {
		now, err := s.root.Lstat(l.Wrote)
		if err != nil || !now.Mode().IsRegular() || now.Size() != l.Bytes || now.ModTime().UnixNano() != l.Time {
			continue
		}
		if s.env.Wrote == nil {
			s.env.Wrote = map[string]fs.FileInfo{}
		}
		s.env.Wrote[l.Wrote] = now
	}
	s.journalled()
}

// silence shows nothing.
type silence struct{}

func (silence) Follow(*engine.Bench) {}
func (silence) Rest(*engine.Bench)   {}
func (silence) Skip(*engine.Bench)   {}

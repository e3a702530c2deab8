package lang

import "context"

// Try runs a script in a fresh session, as the command does without flags: with the library to load from; but nothing is shown, no
// files can be written, and no tables read: what needs a table of this folder does not run alone. It gives what went wrong. It may be
// called from any goroutine.
func Try(ctx context.Context, script string) error {
	s, err := New(Config{Seed: 1, Workers: 1})
	if err != nil {
		return err
	}
	defer s.Close()
	s.env.Dir, s.env.ReadFile = nil, nil
	return s.Exec(ctx, "counterexample.star", script)
}

// isLibrary reports whether a file that was read is of the embedded library.
func (s *Session) isLibrary(file string) bool { return s.sources.library[file] }

package lang

import (
	"context"

	"pulsewright/engine"
)

// Try runs a script in a fresh session, as the command does without flags: with the library to load from; but nothing is shown, no
// files can be written, and no tables read: what needs a table of this folder does not run alone. It gives what went wrong. It may be
// called from any goroutine.
func Try(ctx context.Context, script string) error {
	_, err := try(ctx, "counterexample.star", script, Config{})
	return err
}

// try is Try in the working folder of a session, with its limits.
func (s *Session) try(ctx context.Context, script string) error {
	_, err := try(ctx, "counterexample.star", script, Config{Dir: s.cfg.Dir, Memory: s.cfg.Memory, Untrusted: s.cfg.Untrusted})
	return err
}

// try gives the bench that a script leaves behind.
func try(ctx context.Context, name, script string, cfg Config) (*engine.Bench, error) {
	cfg.Seed, cfg.Workers, cfg.ReadOnly = 1, 1, true
	s, err := New(cfg)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	s.env.ReadFile = nil
	err = s.Exec(ctx, name, script)
	return s.env.Bench, err
}

// isLibrary reports whether a file that was read is of the embedded library.
func (s *Session) isLibrary(file string) bool { return s.sources.library[file] }

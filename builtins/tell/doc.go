// Package tell is the word kind: it reads what a kind of a script's own is told to be, and writes it out as a table, once, so
// that nothing of the script runs inside the engine. What a kind then is to scripts, the word that places its parts, is
// builtins.OwnKind. It may use builtins, say, trial and the engine.
package tell

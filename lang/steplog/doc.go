// Package steplog writes what happens on a bench as it happens: in columns, as a story, or as lines of JSON. It knows nothing of
// scripts: a session tells it when time has passed. It may use builtins for words and causes, and say for text.
package steplog

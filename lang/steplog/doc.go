// Package steplog writes what happens on a bench as it happens: in columns, as a story, or as lines of JSON. It knows nothing
// of scripts: a session tells it when time has passed. It may use builtins, narrate, say, wave and the engine.
package steplog

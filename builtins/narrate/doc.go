// Package narrate tells what happened in sentences, as the step log has them in story mode and the player below its pictures:
// what is alike in one turn is one sentence, and each says because of what. It may use builtins, say and the engine.
package narrate

package trial

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
)

// BeyondTrial reports whether a function failed because it would change what is frozen, or used what cannot be used in a trial, or not so deep in others.
func BeyondTrial(err error) bool {
	var outside *outsideError
	var probe *observe.FrozenProbe
	return errors.As(err, &outside) || errors.As(err, &probe) || errors.Is(err, builtins.ErrDeep) || saysBeyond(builtins.Message(err))
}

// outsideError is that of a value from outside the trial.
type outsideError struct{ name, why string }

func (e *outsideError) Error() string {
	return fmt.Sprintf("%s cannot be used in a trial: %s", e.name, e.why)
}

// beyondText is what the interpreter says of a change to what is frozen, for which it has no type, and what its own words, which keep
// no type, make of an outsideError.
var beyondText = regexp.MustCompile(`(?:^|: )(?:cannot [a-z+|= ]+ frozen (?:list|hash table)$|the calibration is frozen; |[\w.]+ cannot be used in a trial: )`)

// saysBeyond reports whether that is what a message says, and not a script's own fail().
func saysBeyond(msg string) bool {
	at := beyondText.FindStringIndex(msg)
	return at != nil && !strings.HasPrefix(msg, "fail: ") && !strings.HasSuffix(msg[:at[0]], ": fail")
}

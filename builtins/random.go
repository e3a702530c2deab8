package builtins

import (
	"fmt"
	"math/rand/v2"

	"go.starlark.net/starlark"
)

// Random makes random numbers from a seed and from nothing else. It is a plain value: a copy goes on as the original
// would. The zero value takes the seed of its Env on first use.
type Random struct {
	Pcg  rand.PCG
	made bool
}

// NewRandom returns the generator of a seed; streams of one seed (a trial each) have nothing in common.
func NewRandom(seed int64, stream uint64) Random {
	return Random{*rand.NewPCG(uint64(seed), stream), true}
}

func (e *Env) random() *rand.Rand {
	if !e.Random.made {
		e.Random = NewRandom(e.Seed, 0)
	}
	return rand.New(&e.Random.Pcg)
}

func randomWords() []Entry {
	return []Entry{
		{Name: "rand", Topic: "text and numbers", Sentence: "Gives a random number from 0 to n-1, made from the session's seed and nothing else.",
			Params: []Param{{Name: "n", Type: "number", Doc: "how many numbers there are to choose from"}}, Returns: "a number",
			Example: "berth = 1 + rand(53)\nexpect(berth in range(1, 54))", See: []string{"shuffle"}, Call: random},
		{Name: "shuffle", Topic: "text and numbers", Sentence: "Gives the values of a list in random order, made from the session's seed and nothing else.",
			Params: []Param{{Name: "list", Type: "list", Doc: "what to shuffle; it stays as it is"}}, Returns: "a new list",
			Example: "order = shuffle(range(1, 6))\nexpect_equal(sorted(order), [1, 2, 3, 4, 5])", See: []string{"rand"}, Call: shuffle},
	}
}

func random(c *Call) (starlark.Value, error) {
	n := c.Int("n", 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	return starlark.MakeInt64(c.Env.random().Int64N(n)), nil
}

func shuffle(c *Call) (starlark.Value, error) {
	it, ok := c.Value("list").(starlark.Iterable)
	if !ok {
		return nil, c.Bad("list", Show(c.Value("list")), "")
	}
	if n := starlark.Len(c.Value("list")); n > 1<<24 {
		return nil, c.Bad("list", fmt.Sprintf("%d values", n), fmt.Sprintf("at most %d", 1<<24))
	}
	var vs []starlark.Value
	for v := range starlark.Elements(it) {
		if err := c.Env.StoppedAt(len(vs)); err != nil {
			return nil, c.Wrap(err)
		}
		vs = append(vs, v)
	}
	var stopped error
	c.Env.random().Shuffle(len(vs), func(i, j int) {
		if stopped == nil {
			stopped = c.Env.StoppedAt(i)
		}
		vs[i], vs[j] = vs[j], vs[i]
	})
	return starlark.NewList(vs), c.Wrap(stopped)
}

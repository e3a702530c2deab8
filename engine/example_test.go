package engine_test

import (
	"context"
	"errors"
	"fmt"
	"log"

	"pulsewright/engine"
)

// A key tells two links, and the first of them a third one. Acts take their turns one by
// one: those of a step in the order in which they were queued.
func ExampleBench_Turn() {
	b := engine.New(engine.DefaultRules())
	place := func(x, y int32, p engine.Part) engine.ID {
		id, err := b.Place(engine.Cell{X: x, Y: y}, p)
		if err != nil {
			log.Fatal(err)
		}
		return id
	}
	key := place(0, 0, engine.Part{Kind: engine.Key, Name: "berth 7"})
	place(1, 0, engine.Part{Kind: engine.Link, Facing: engine.PosX, Name: "quay"})
	place(0, 1, engine.Part{Kind: engine.Link, Facing: engine.PosY, Name: "pier"})
	place(2, 0, engine.Part{Kind: engine.Link, Facing: engine.PosX, Name: "mole"}) // reads the key two cells behind it

	if err := b.Press(key, 0); err != nil {
		log.Fatal(err)
	}
	for shown := 0; ; {
		ok, err := b.Turn()
		if err != nil {
			log.Fatal(err)
		}
		if !ok {
			break
		}
		for _, e := range b.Events(engine.EventID(shown + 1)) {
			fmt.Println(e.At(), b.Thing(e.ID).Name, e.What)
			shown++
		}
	}
	// Output:
	// 1.0.0 berth 7 on
	// 1.1.0 quay out
	// 1.1.1 pier out
	// 1.2.0 mole out
}

// The width of a pulse is counted in steps, the falling edge's minus the rising edge's. A
// chain of links gets as far as the pulse lasts.
func ExampleBench_Fire() {
	for _, width := range []int{1, 2, 5} {
		for _, late := range []bool{false, true} {
			b := engine.New(engine.DefaultRules())
			for x := range int32(8) {
				b.Place(engine.Cell{X: x, Y: -2}, engine.Part{Kind: engine.Wire})                     // feeds each link's far pad
				b.Place(engine.Cell{X: x, Y: 0}, engine.Part{Kind: engine.Link, Facing: engine.PosY}) // told by the one before
			}
			b.Place(engine.Cell{X: 0, Y: -1}, engine.Part{Kind: engine.Wire}) // tells the first

			b.Fire(engine.Target{Cell: engine.Cell{X: -1, Y: -2}}, engine.Firing{Steps: width, Late: late})
			if err := b.Run(context.Background(), engine.Budget{}); err != nil {
				log.Fatal(err)
			}
			moved := 0
			for _, e := range b.Events(1) {
				if e.What == engine.Out {
					moved++
				}
			}
			fmt.Printf("a pulse of %d, late fall %-5v moves %d\n", width, late, moved)
		}
	}
	// Output:
	// a pulse of 1, late fall false moves 0
	// a pulse of 1, late fall true  moves 1
	// a pulse of 2, late fall false moves 1
	// a pulse of 2, late fall true  moves 2
	// a pulse of 5, late fall false moves 4
	// a pulse of 5, late fall true  moves 5
}

// Every event knows what caused it, back to the stimulus.
func ExampleBench_Event() {
	b := engine.New(engine.DefaultRules())
	key, _ := b.Place(engine.Cell{X: -1}, engine.Part{Kind: engine.Key, Name: "key"})
	b.Place(engine.Cell{}, engine.Part{Kind: engine.Shuttle, Facing: engine.PosX, Slug: engine.Feed, Name: "gate"})
	b.Place(engine.Cell{X: 2, Y: 1}, engine.Part{Kind: engine.Wire, Name: "line"})
	lamp, _ := b.Place(engine.Cell{X: 3, Y: 1}, engine.Part{Kind: engine.Lamp, Name: "lamp"})
	b.Press(key, 0)
	if err := b.Run(context.Background(), engine.Budget{}); err != nil {
		log.Fatal(err)
	}
	var last engine.EventID
	for id, e := range b.Events(1) {
		if e.ID == lamp {
			last = id
		}
	}
	for id := last; id != 0; id = b.Event(id).Cause {
		e := b.Event(id)
		fmt.Println(e.At(), b.Thing(e.ID).Name, e.What)
	}
	// Output:
	// 3.0.0 lamp lit
	// 3.0.0 line live
	// 3.0.0 gate lands
	// 1.1.0 gate out
	// 1.0.0 key on
}

// A snapshot is cheap; a bench made from it goes its own way.
func ExampleBench_Snapshot() {
	b := engine.New(engine.DefaultRules())
	key, _ := b.Place(engine.Cell{}, engine.Part{Kind: engine.Key, Name: "key"})
	lamp, _ := b.Place(engine.Cell{X: 1}, engine.Part{Kind: engine.Lamp, Name: "lamp"})
	before := b.Snapshot()

	b.Press(key, 0)
	if err := b.Run(context.Background(), engine.Budget{}); err != nil {
		log.Fatal(err)
	}
	fmt.Println("pressed:", b.State(lamp).On)
	fmt.Println("another bench:", before.Bench().State(lamp).On)
	b.Restore(before)
	fmt.Println("restored:", b.State(lamp).On, "at", b.Now())
	// Output:
	// pressed: true
	// another bench: false
	// restored: false at 0.0.0
}

// A tick that does not settle is stopped by its budget, and the error says who kept it going.
func ExampleRunaway() {
	b := engine.New(engine.DefaultRules())
	var ring []engine.ID
	for _, name := range []string{"X", "Y", "Z"} {
		id, _ := b.Shelve(engine.Part{Kind: engine.Gate, Op: engine.Not, Name: name, On: name != "Y"})
		ring = append(ring, id)
	}
	for i, id := range ring {
		b.Patch(id, ring[(i+1)%3], engine.Cord{Power: true, News: true})
	}
	b.Nudge(engine.Target{ID: ring[0]}, false, 0)
	err := b.Run(context.Background(), engine.Budget{Turns: 1000})
	var away *engine.Runaway
	if errors.As(err, &away) {
		fmt.Println("the period is", away.Period, "steps; parts:", len(away.Parts))
	}
	// Output:
	// the period is 6 steps; parts: 3
}

package app

import (
	"fmt"
	"runtime"

	"leadline/logbook"
)

// outcome is what was reckoned for one tank.
type outcome[T any] struct {
	Value T
	Err   error
}

// SideBySide reckons something for every tank, as many at a time as there are processors, and answers in their order.
// reckon opens a view of its own, so that a writer elsewhere never waits for the whole run.
func SideBySide[T any](tanks []logbook.Tank, reckon func(logbook.Tank) (T, error)) []chan outcome[T] {
	outcomes := make([]chan outcome[T], len(tanks))
	for i := range outcomes {
		outcomes[i] = make(chan outcome[T], 1)
	}
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	go func() {
		for i, tank := range tanks {
			slots <- struct{}{}
			go func() {
				defer func() { <-slots }()
				outcomes[i] <- guardedly(tank, reckon)
			}()
		}
	}()
	return outcomes
}

// guardedly turns a panic into an error: on a goroutine of its own it would end the process.
func guardedly[T any](tank logbook.Tank, reckon func(logbook.Tank) (T, error)) (o outcome[T]) {
	defer func() {
		if r := recover(); r != nil {
			o.Err = fmt.Errorf("a fault of the program, at tank %s: %v", tank.Name, r)
		}
	}()
	o.Value, o.Err = reckon(tank)
	return o
}

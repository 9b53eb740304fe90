// Command leadline is a terminal logbook for the water of coral aquariums.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata"

	"leadline/cmd/internal/quietstart"
)

func main() {
	quietstart.Restore()
	os.Exit(start())
}

func start() int {
	// A reader of our output that goes away is an error from Write, not the end of the process: a demo removes its file.
	signal.Ignore(syscall.SIGPIPE)
	ends := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) { // nohup asks to live on
		ends = append(ends, syscall.SIGHUP) // the window was closed
	}
	ctx, stop := signal.NotifyContext(context.Background(), ends...)
	defer stop()
	return run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv, time.Now)
}

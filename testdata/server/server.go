// Package server gives tests a server of streams: the stock one, in a process of its own, which a test can stop and
// kill.
package server

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	stock "github.com/nats-io/nats-server/v2/server"
)

const told = "LEADLINE_TEST_SERVER"

// Script is a shell script that does what the program nats-server does, for a test of what people type.
func Script() string {
	return fmt.Sprintf("#!/bin/sh\n[ \"$1\" = -c ] && %s=\"$2\" exec %q\n", told, os.Args[0])
}

// BeOne makes this process a server if it was started as one by Start; else it does nothing. A test binary calls it
// first.
func BeOne() {
	config := os.Getenv(told)
	if config == "" {
		return
	}
	opt, err := stock.ProcessConfigFile(config)
	if err == nil {
		opt.NoSigs = true
		var s *stock.Server
		if s, err = stock.NewServer(opt); err == nil {
			go s.Start()
			if in, err := os.Stdin.Stat(); err == nil && in.Mode()&os.ModeNamedPipe != 0 {
				_, _ = os.Stdin.Read(make([]byte, 1)) // until whoever started it ends, however that is
			} else {
				time.Sleep(time.Minute) // somebody in a shell
			}
			s.Shutdown()
			os.Exit(0)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// Server is a server on this machine.
type Server struct {
	Port   int
	Folder string // of its configuration and its streams
	t      testing.TB
	cmd    *exec.Cmd
	end    func() error
}

// New describes a server; more goes into its configuration. Start starts it.
func New(t testing.TB, more string) *Server {
	t.Helper()
	s := &Server{t: t, Port: FreePort(t), Folder: t.TempDir()}
	s.Configure(more)
	t.Cleanup(s.Kill)
	return s
}

// Configure writes the configuration, for the next start.
func (s *Server) Configure(more string) {
	text := fmt.Sprintf("listen: \"127.0.0.1:%d\"\njetstream { store_dir: %q }\n%s\n", s.Port,
		filepath.ToSlash(filepath.Join(s.Folder, "streams")), more)
	if err := os.WriteFile(filepath.Join(s.Folder, "server.conf"), []byte(text), 0o600); err != nil {
		s.t.Fatal(err)
	}
}

// URL is its address.
func (s *Server) URL() string { return "nats://127.0.0.1:" + strconv.Itoa(s.Port) }

// Start starts it, and returns when it can be reached.
func (s *Server) Start() *Server {
	s.t.Helper()
	s.cmd = exec.Command(os.Args[0])
	s.cmd.Env = append(os.Environ(), told+"="+filepath.Join(s.Folder, "server.conf"))
	s.cmd.Stderr = os.Stderr
	in, err := s.cmd.StdinPipe()
	if err == nil {
		s.end = in.Close
		err = s.cmd.Start()
	}
	if err != nil {
		s.t.Fatal(err)
	}
	for {
		c, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(s.Port))
		if err == nil {
			c.Close()
			return s
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// Stop ends it in good order, and Kill as the fall of the machine would.
func (s *Server) Stop() {
	_ = s.end()
	_ = s.cmd.Wait()
}

// Kill is described at Stop.
func (s *Server) Kill() {
	if s.cmd != nil && s.cmd.ProcessState == nil {
		_ = s.cmd.Process.Kill()
		_ = s.cmd.Wait()
	}
}

// FreePort finds a port of this machine that nobody uses.
func FreePort(t testing.TB) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

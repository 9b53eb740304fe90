// Command release makes everything that is published of one version, by one command:
//
//	go run ./cmd/release -o ../leadline-release
//
// Static binaries for linux, darwin and windows on amd64 and arm64, each in an archive with the manual, the completions and
// the licences, and with a bill of materials; Debian packages; the sums of all of them. The same commit gives the same bytes
// in every folder and on every machine with the same Go: nothing here reads the clock, the name of the machine or of a
// folder. What is said of a binary is read from the binary itself.
package main

// Package share makes the books of a team one, through a stream of lines on a NATS server with JetStream.
//
// The stream holds the log: messages of lines of JSON Lines, from each member under a subject of its own. Every
// member's book stays whole, and nothing is asked of the server to answer a question. A line is its ID or its hash, and
// to take in a line twice, or in another order, makes no difference; so nothing here needs to be done exactly once,
// only at least once:
//
//   - What a commit wrote stays in the book's outbox until it came back from the stream (logbook.Shared).
//   - The stream bears an identity, and of the last message that was taken in its number and a mark are kept. Where
//     they do not fit, the stream is a new one or an older state of it: then all of it is read, and what it lacks is
//     published.
//   - Of others' lines nothing is believed that an import would refuse; who sends such, or too many, is named and
//     passed over.
package share

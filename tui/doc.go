// Package tui is the terminal interface. House rules:
//
//   - Only the root model (app.go) is a bubbletea model. Screens answer with strings.
//   - Nothing here touches the book outside a command; a command touches no screen, it answers with a message, and the
//     message carries what it belongs to, so that a late answer is dropped.
//   - Every key is a row of Commands, part.Command; help, footer and palette are made of them.
//   - Only theme.go of part names colours and signs. A state is a word or a sign first and a colour second.
//   - Every screen cuts itself to its size. What others wrote is cleaned when it is drawn.
package tui

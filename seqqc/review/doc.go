// Package review serves the page on which a person looks at a batch and
// decides. It listens on the loopback interface only; what the page shows and
// what becomes of a decision is a Batch, made by the caller.
//
// What keeps strangers out, other programs' web pages above all:
//
//   - The listener is bound to a loopback address.
//   - Every request must name that address as its Host, so that a name which is
//     made to point here is refused (DNS rebinding).
//   - A request that says it comes from elsewhere, by Origin or Sec-Fetch-Site,
//     is refused.
//   - Everything but the page's own files needs a token, new with every start,
//     in the header Authorization. A browser never sends it by itself. The
//     address given to the person holds it behind a #, which browsers do not
//     send to servers.
//   - Only a POST of JSON changes anything, and bodies have a limit.
//   - The page may run and fetch only what comes from here (Content Security
//     Policy Level 3, W3C), and names from files are put into it as text.
package review

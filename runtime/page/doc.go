// Package page serves the live page: it shows in a browser on the same machine what
// runs of scripts have made, and keeps it in step with every further run.
//
// The package is not yet stable: names and fields may change.
//
// It is handed results as bytes and knows nothing of the language, of disks or of
// processes: what it needs to have done it asks of a [Source]. Pages are told of a run
// by server-sent events that carry digests and a status; they fetch the data by digest.
// A page that reads slowly, or has stopped to, is told the latest state when it reads
// again, and is dropped after some seconds; no run ever waits for a page.
//
// # Threat model
//
// A page may show designs that nobody else should see, run scripts with other values
// and start the user's editor. Those who might want to do the same, and what stops
// them:
//
//   - Another machine: the server listens on a loopback address and refuses to listen
//     on any other.
//   - Another user of this machine can connect to the port. Every path begins with a
//     token of 160 random bits, without which nothing is answered but 403, on a
//     connection that ends with it. The token is no secret from whoever reads the user's terminal,
//     browser history or the arguments of the user's processes; to hand it to a browser
//     by its command line lets others see it. Such a user can still
//     use up the connections that are allowed, so that no page loads; runs go on.
//   - A page of another origin in the user's browser does not know the token either,
//     and could not read an answer if it did: there is no cross-origin header in any,
//     requests that a browser marks as another site's are refused, the resource policy keeps data
//     out of foreign pages, and no page can be framed or keep a hold of the window that it
//     has opened. What changes anything is a POST of JSON with our own origin. A name
//     that is made to point to this machine (DNS rebinding) is refused by the Host header,
//     which must be the address itself or localhost.
//   - A hostile script decides names, texts and numbers in what is shown. They reach the
//     page as JSON and as media types that are not guessed at, the page puts them in as
//     text, and the content policy forbids scripts and styles that are not embedded in the
//     program and connections to anywhere else, so that what slipped through could
//     neither run nor tell anyone. The picture of the blank in the page's own text has of the
//     script numbers and colours alone. Output files are shown under a policy in which nothing runs. Their
//     names are looked up in the list of the last run and never made into a path
//     here. How much is kept in memory is bounded in bytes and in number.
//   - A page gone wild, ours or one with the token: bodies, numbers of pages, connections,
//     tries and states under way are bounded; of tries of one page one runs and one waits.
//
// What is not defended against: the user's own browser and its extensions, and programs
// that run as the same user.
package page

// Package worker runs each build in a process of its own, which is this program
// started again. A script can then use up no more time and memory than it is
// allowed, and whatever it does to that process ends with it.
//
// The package is not yet stable: names and fields may change.
//
// # Protocol
//
// The parent writes a question to the child's standard input: the script's
// name, parameters, formats and limits, and the preview of the run before. The
// child opens no file: it asks for each text by its label and is given its
// bytes. Where the parent wants to know them it tells the stages that it comes
// to (engine.Stages), a byte each. In the end it writes its answer, a Result in
// parts, and the files. Every message is a frame: one byte that says what it is,
// four that say how long it is, and the bytes (protocol.go).
//
// # Resource limits
//
// Three look after a run, since none alone is enough:
//
//   - The child's watchdog reads its heap and its processor time every
//     millisecond and ends the process with a report, which says what limit
//     was passed and where the script was (watchdog.go). A single operation of
//     the script can take any amount of either, so nothing less would do.
//   - The system refuses the child more data than twice its memory limit,
//     processor time well beyond its limit, and every further file (Linux;
//     system_linux.go).
//   - The parent's supervisor reads the child's memory and processor time from
//     outside, and kills it also when far more time has passed by the clock than
//     it may compute: it may hang, or be stopped (exchange.go).
//
// Time is processor time, so that a busy machine ends no honest run. Where the
// system does not tell it, it is time by the clock.
//
// # What a child that has been taken over could do, and what still stops it
//
// Say that a script finds a fault in the interpreter or the geometry and makes
// the child run code of its choice. That code has the rights of the user, but
// starts from a process with no environment, the root folder as its working
// folder, three pipes, and on Linux no way to open a file or a socket (no
// descriptor is left to it), to write one or to grow. It is not confined by the
// system any further, so that this is a second wall and not a first one.
//
// Over the pipe it can do the following, and no more.
//
//   - Ask for texts. The reader that the caller handed in decides what there
//     is; labels are bounded in length, number and bytes of text.
//   - Flood. Every frame and the answer as a whole are bounded before memory is
//     taken for them; counts and labels are bounded in number; all that the
//     parent does with an answer is linear in its size and ends with the
//     caller's context.
//   - Tell stages. They can only follow one another, so that there are at most
//     as many of them as names, and the names are the parent's own.
//   - Name files. The parent derives the list of files from the table of formats
//     and from the names of the pieces, which must be distinct file names as the
//     contract has them; an answer with any other list is refused. No name leads
//     out of the output folder.
//   - Fill files with anything. A file must begin and end as its format does.
//     Files are only ever written by the parent and never run. Pictures, cut files, programs
//     of machines, pages and solids are searched once, in linear time, for what
//     the tool writes into none: scripts, references to elsewhere, instructions that do
//     more than lead a tool (emit.Format.Check).
//   - Lie: a wrong report, cut files of another shape, findings left out. Nothing
//     can tell that from an honest answer; it is as wrong as the script that
//     caused it.
//   - Word findings. Texts and places are bounded, and escaped by whoever prints
//     them; places lie in texts that the child was given.
//   - Hang, crash or stay: see the limits above. The process is killed soon
//     after its answer has come, whatever else it is doing. In a Batch it lives on for the
//     runs of the same command that come after it, at most fifty, and could lie
//     about those, too; see below.
//
// # Runs that share a process
//
// A Batch is for two commands. One checks many scripts and writes no file. The
// other runs one script for every row of a table and writes each row's files: all
// of these runs read the same texts, so that a script that can take a process over
// in one row could have done so in every other, and a process that has served
// fifty rows is to be trusted as much, or as little, as one that has served one.
// What a row's answer may name and hold is verified for that row alone, and the
// caller chooses its folder.
//
// The limits are those of each run and not of the process: time is counted from
// where the run began, and what earlier runs left on the heap is collected before
// a run when it is more than an eighth of the memory allowed. A process that
// passed a limit, failed, crashed or was given up is ended and does no other run;
// where one that had done runs before does not answer, the run is done once more
// in a fresh one, so that no row suffers from the rows before it.
package worker

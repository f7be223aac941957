"""A mail server for the tests: it takes mails on a port of this computer, refuses a recipient, or breaks off."""

import socketserver
import threading
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage


class Server(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, breaks: str = "") -> None:
        super().__init__(("127.0.0.1", 0), Session)
        self.breaks, self.mails = breaks, []

    @property
    def port(self) -> int:
        return self.server_address[1]


class Session(socketserver.StreamRequestHandler):
    """The commands of RFC 5321, section 4.5.1, that a client needs to hand over one mail."""

    def handle(self) -> None:
        self.say("220 test")
        while line := self.rfile.readline().decode().strip():
            command = line.split(":")[0].upper()
            if command == "RCPT TO" and (self.server.breaks == "recipient" or f"<{self.server.breaks}>" in line):
                self.say("550 no such mailbox")
            elif command == "RCPT TO" and self.server.breaks == "later":
                self.say("451 come again")
            elif command == "DATA":
                self.say("354 go on")
                if not self.take_mail():
                    return
            else:
                self.say("221 bye" if command == "QUIT" else "250 ok")

    def take_mail(self) -> bool:
        lines = []
        while (line := self.rfile.readline()) not in (b".\r\n", b""):
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        self.server.mails.append(message_from_bytes(b"".join(lines), policy=policy.default))
        if self.server.breaks == "after data":
            return False  # taken, and the answer never comes
        self.say("552 too large" if self.server.breaks == "data" else "250 taken")
        return True

    def say(self, text: str) -> None:
        self.wfile.write(f"{text}\r\n".encode())


@contextmanager
def listening(server: Server):
    """The server at work beside the block."""
    threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True).start()  # seconds: it ends that fast
    try:
        yield
    finally:
        server.shutdown()


@contextmanager
def mail_server(settings, breaks: str = ""):
    """A running server that the program's settings name; its mails are in `mails`."""
    with Server(breaks) as server, listening(server):
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.EMAIL_USE_TLS, settings.EMAIL_TIMEOUT = False, 5
        yield server


def body_of(mail: EmailMessage, kind: str = "plain") -> str:
    return mail.get_body((kind,)).get_content().replace("\r\n", "\n")

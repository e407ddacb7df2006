"""What is taken in, and what is refused before Tanbark itself sees it."""

import io

from waitress.parser import HTTPRequestParser, TransferEncodingNotImplemented
from waitress.receiver import FixedStreamReceiver
from waitress.task import ErrorTask

from contest.web.middleware import BESIDES_THE_FILE, MOST_UPLOADED
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

IN_WORDS = {
    400: gettext_noop("This laptop did not understand the request. Go back, load the page again and try once more."),
    413: gettext_noop("This is far larger than anything Tanbark takes in. Nothing of it was saved."),
    431: gettext_noop(
        "The address, or what the browser sends with it, is too long. Delete this laptop's cookies and try again."
    ),
    500: gettext_noop(
        "Something went wrong on the superintendent's laptop. Go back and try again; what was saved before is safe."
    ),
    501: gettext_noop("Send the request with its length."),
}


class Nothing:
    """Where the body of a request goes that will be refused for its size."""

    def append(self, data: bytes) -> None: ...

    def getfile(self) -> io.BytesIO:
        return io.BytesIO()

    def close(self) -> None: ...

    def __len__(self) -> int:
        return 0


class Request(HTTPRequestParser):  # type: ignore[misc]  # waitress says nothing of its types
    """Takes in what a browser sends."""

    def parse_header(self, header_plus: bytes) -> None:
        super().parse_header(header_plus)
        if self.chunked:  # no browser sends a form without its length, and it could not be refused before it is there
            raise TransferEncodingNotImplemented("no length")
        if self.content_length > MOST_UPLOADED + BESIDES_THE_FILE:
            # It is refused by its length alone, in contest.web.middleware, but a browser shows no answer before all is
            # sent: so it is read, and kept nowhere.
            self.body_rcv = FixedStreamReceiver(self.content_length, Nothing())


class Refusal(ErrorTask):  # type: ignore[misc]  # the same
    """Tanbark's own words for what waitress refuses by itself."""

    def execute(self) -> None:
        error = self.request.error
        body = (_(IN_WORDS.get(error.code, IN_WORDS[400])) + "\n").encode()
        self.status = f"{error.code} {error.reason}"
        self.response_headers.append(("Content-Type", "text/plain; charset=utf-8"))
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)

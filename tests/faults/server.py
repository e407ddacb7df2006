"""The serving process by itself, to be killed: python -m tests.faults.server PORT, with TANBARK_DATA set."""

import os
import socket
import sys


def main() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "contest.settings"
    from contest.wsgi import application

    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    listening.bind(("127.0.0.1", int(sys.argv[1])))
    listening.listen()

    from contest.serving.server import Server, room_for_connections

    Server(application, listening, room_for_connections()).run()


if __name__ == "__main__":
    main()

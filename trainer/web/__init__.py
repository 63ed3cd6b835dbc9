"""The pages: one package for each kind of user, put together by ``trainer.web.app.create_app``."""

"""Will my handspun reach?"""
